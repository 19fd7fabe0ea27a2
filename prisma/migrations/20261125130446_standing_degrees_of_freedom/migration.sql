-- AlterTable
ALTER TABLE "standing" ADD COLUMN     "degrees_of_freedom" DOUBLE PRECISION;

-- Standings from before keep infinitely many, which is what they stated, until they are computed again.
ALTER TABLE "standing"
  ADD CONSTRAINT "standing_degrees_of_freedom_check" CHECK ("degrees_of_freedom" > 0 AND is_finite("degrees_of_freedom"));
