-- AlterTable
ALTER TABLE "review" ADD COLUMN     "previous_review" TEXT;

-- AlterTable
ALTER TABLE "run" ADD COLUMN     "appealed" BOOLEAN NOT NULL DEFAULT false;

-- CreateTable
CREATE TABLE "review_claim" (
    "run_id" UUID NOT NULL,
    "moderator_id" UUID NOT NULL,
    "until" TIMESTAMPTZ(3) NOT NULL,

    CONSTRAINT "review_claim_pkey" PRIMARY KEY ("run_id")
);

-- CreateTable
CREATE TABLE "review_proposal" (
    "id" UUID NOT NULL,
    "run_id" UUID NOT NULL,
    "moderator_id" UUID NOT NULL,
    "decision" TEXT NOT NULL,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "review_proposal_pkey" PRIMARY KEY ("id")
);

-- CreateIndex
CREATE UNIQUE INDEX "review_proposal_run_id_moderator_id_key" ON "review_proposal"("run_id", "moderator_id");

-- AddForeignKey
ALTER TABLE "review_claim" ADD CONSTRAINT "review_claim_run_id_fkey" FOREIGN KEY ("run_id") REFERENCES "run"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "review_claim" ADD CONSTRAINT "review_claim_moderator_id_fkey" FOREIGN KEY ("moderator_id") REFERENCES "account"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "review_proposal" ADD CONSTRAINT "review_proposal_run_id_fkey" FOREIGN KEY ("run_id") REFERENCES "run"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "review_proposal" ADD CONSTRAINT "review_proposal_moderator_id_fkey" FOREIGN KEY ("moderator_id") REFERENCES "account"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- What follows is written by hand: it says what schema.prisma cannot.

ALTER TABLE "review"
  ADD CONSTRAINT "review_previous_review_check"
    CHECK ("previous_review" IN ('pending', 'info-requested', 'accepted', 'rejected'));

ALTER TABLE "review_proposal"
  ADD CONSTRAINT "review_proposal_decision_check" CHECK ("decision" IN ('accept', 'reject', 'request-info'));

CREATE TRIGGER "review_proposal_not_own_run" BEFORE INSERT OR UPDATE ON "review_proposal"
  FOR EACH ROW EXECUTE FUNCTION "refuse_own_review"();
