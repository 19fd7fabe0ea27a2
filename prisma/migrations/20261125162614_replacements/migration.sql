-- AlterTable
ALTER TABLE "run" ADD COLUMN     "replaced_by" UUID;

-- CreateIndex
CREATE INDEX "run_replaced_by_idx" ON "run"("replaced_by");

-- AddForeignKey
ALTER TABLE "run" ADD CONSTRAINT "run_replaced_by_fkey" FOREIGN KEY ("replaced_by") REFERENCES "run"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- What follows is written by hand: it says what schema.prisma cannot.

ALTER TABLE "run"
  ADD CONSTRAINT "run_replaced_check" CHECK ("replaced_by" IS NULL OR ("review" = 'withdrawn' AND "replaced_by" <> "id"));
