-- AlterTable
ALTER TABLE "review" ADD COLUMN     "independent_of" UUID[];

-- CreateTable
CREATE TABLE "copy_fingerprint" (
    "run_id" UUID NOT NULL,
    "number" SERIAL NOT NULL,
    "method" TEXT NOT NULL,
    "checked_at" TIMESTAMPTZ(3),

    CONSTRAINT "copy_fingerprint_pkey" PRIMARY KEY ("run_id")
);

-- CreateTable
CREATE TABLE "copy_hash" (
    "word" INTEGER NOT NULL,
    "print" INTEGER NOT NULL,
    "place" INTEGER NOT NULL,

    CONSTRAINT "copy_hash_pkey" PRIMARY KEY ("word","print","place")
);

-- CreateTable
CREATE TABLE "copy_match" (
    "earlier_run_id" UUID NOT NULL,
    "later_run_id" UUID NOT NULL,
    "method" TEXT NOT NULL,
    "agreements" JSONB NOT NULL,
    "found_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "copy_match_pkey" PRIMARY KEY ("earlier_run_id","later_run_id")
);

-- CreateIndex
CREATE UNIQUE INDEX "copy_fingerprint_number_key" ON "copy_fingerprint"("number");

-- CreateIndex
CREATE INDEX "copy_match_later_run_id_idx" ON "copy_match"("later_run_id");

-- AddForeignKey
ALTER TABLE "copy_fingerprint" ADD CONSTRAINT "copy_fingerprint_run_id_fkey" FOREIGN KEY ("run_id") REFERENCES "run"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "copy_match" ADD CONSTRAINT "copy_match_earlier_run_id_fkey" FOREIGN KEY ("earlier_run_id") REFERENCES "run"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "copy_match" ADD CONSTRAINT "copy_match_later_run_id_fkey" FOREIGN KEY ("later_run_id") REFERENCES "run"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- What follows is written by hand: it says what schema.prisma cannot.

ALTER TABLE "copy_match"
  ADD CONSTRAINT "copy_match_order_check" CHECK ("earlier_run_id" < "later_run_id"),
  ADD CONSTRAINT "copy_match_agreements_check" CHECK (JSONB_TYPEOF("agreements") = 'array' AND "agreements" <> '[]');

-- What was found stays found: a moderator decides what it means, in a review.
CREATE TRIGGER "copy_match_is_immutable" BEFORE UPDATE OR DELETE OR TRUNCATE ON "copy_match"
  FOR EACH STATEMENT EXECUTE FUNCTION "refuse_change"();
