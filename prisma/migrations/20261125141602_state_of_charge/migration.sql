-- AlterTable
ALTER TABLE "run" ADD COLUMN     "state_of_charge_percent" DOUBLE PRECISION;

ALTER TABLE "run"
  ADD CONSTRAINT "run_state_of_charge_percent_check" CHECK ("state_of_charge_percent" BETWEEN 0 AND 100);
