-- AlterTable
ALTER TABLE "run" ADD COLUMN     "replaced_by_id" UUID;

-- CreateIndex
CREATE INDEX "run_replaced_by_id_idx" ON "run"("replaced_by_id");

-- AddForeignKey
ALTER TABLE "run" ADD CONSTRAINT "run_replaced_by_id_fkey" FOREIGN KEY ("replaced_by_id") REFERENCES "run"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- What follows is written by hand: it says what schema.prisma cannot.

ALTER TABLE "run"
  ADD CONSTRAINT "run_replaced_check" CHECK ("replaced_by_id" IS NULL OR ("review_state" = 'withdrawn' AND "replaced_by_id" <> "id"));
