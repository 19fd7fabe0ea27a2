-- AlterTable
ALTER TABLE "review" ADD COLUMN     "rule_version" INTEGER,
ALTER COLUMN "moderator_id" DROP NOT NULL;

-- CreateTable
CREATE TABLE "auto_accept_policy" (
    "version" INTEGER NOT NULL,
    "actor_id" UUID NOT NULL,
    "enabled" BOOLEAN NOT NULL,
    "moderator_acceptances" INTEGER NOT NULL,
    "no_rejection_days" INTEGER NOT NULL,
    "account_days" INTEGER NOT NULL,
    "other_testers" INTEGER NOT NULL,
    "max_deviation_percent" DOUBLE PRECISION NOT NULL,
    "max_per_day" INTEGER NOT NULL,
    "sample_one_in" INTEGER NOT NULL,
    "set_by_id" UUID NOT NULL,
    "set_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "auto_accept_policy_pkey" PRIMARY KEY ("version")
);

-- CreateIndex
CREATE UNIQUE INDEX "auto_accept_policy_actor_id_key" ON "auto_accept_policy"("actor_id");

-- AddForeignKey
ALTER TABLE "auto_accept_policy" ADD CONSTRAINT "auto_accept_policy_set_by_id_fkey" FOREIGN KEY ("set_by_id") REFERENCES "account"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "review" ADD CONSTRAINT "review_rule_version_fkey" FOREIGN KEY ("rule_version") REFERENCES "auto_accept_policy"("version") ON DELETE RESTRICT ON UPDATE CASCADE;

-- What follows is written by hand: it says what schema.prisma cannot.

ALTER TABLE "review"
  ADD CONSTRAINT "review_one_decides_check" CHECK (NUM_NONNULLS("moderator_id", "rule_version") = 1),
  ADD CONSTRAINT "review_rule_accepts_check" CHECK ("rule_version" IS NULL OR "decision" = 'accept');

ALTER TABLE "auto_accept_policy"
  ADD CONSTRAINT "auto_accept_policy_version_check" CHECK ("version" >= 1),
  ADD CONSTRAINT "auto_accept_policy_terms_check" CHECK (
    "moderator_acceptances" >= 1 AND "no_rejection_days" >= 1 AND "account_days" >= 0 AND "other_testers" >= 1
    AND "max_deviation_percent" > 0 AND "max_deviation_percent" <= 100 AND "max_per_day" >= 1 AND "sample_one_in" >= 2);

CREATE TRIGGER "auto_accept_policy_is_immutable" BEFORE UPDATE OR DELETE OR TRUNCATE ON "auto_accept_policy"
  FOR EACH STATEMENT EXECUTE FUNCTION "refuse_change"();
