-- AlterTable
ALTER TABLE "review" ADD COLUMN     "rule_version" INTEGER,
ALTER COLUMN "moderator" DROP NOT NULL;

-- CreateTable
CREATE TABLE "acceptance_rule" (
    "version" INTEGER NOT NULL,
    "actor" UUID NOT NULL,
    "enabled" BOOLEAN NOT NULL,
    "moderator_acceptances" INTEGER NOT NULL,
    "clean_days" INTEGER NOT NULL,
    "account_days" INTEGER NOT NULL,
    "other_testers" INTEGER NOT NULL,
    "farthest_percent" DOUBLE PRECISION NOT NULL,
    "most_per_day" INTEGER NOT NULL,
    "sample_every" INTEGER NOT NULL,
    "set_by" UUID NOT NULL,
    "set_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "acceptance_rule_pkey" PRIMARY KEY ("version")
);

-- CreateIndex
CREATE UNIQUE INDEX "acceptance_rule_actor_key" ON "acceptance_rule"("actor");

-- AddForeignKey
ALTER TABLE "acceptance_rule" ADD CONSTRAINT "acceptance_rule_set_by_fkey" FOREIGN KEY ("set_by") REFERENCES "account"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "review" ADD CONSTRAINT "review_rule_version_fkey" FOREIGN KEY ("rule_version") REFERENCES "acceptance_rule"("version") ON DELETE RESTRICT ON UPDATE CASCADE;

-- What follows is written by hand: it says what schema.prisma cannot.

ALTER TABLE "review"
  ADD CONSTRAINT "review_one_decides_check" CHECK (NUM_NONNULLS("moderator", "rule_version") = 1),
  ADD CONSTRAINT "review_rule_accepts_check" CHECK ("rule_version" IS NULL OR "decision" = 'accept');

ALTER TABLE "acceptance_rule"
  ADD CONSTRAINT "acceptance_rule_version_check" CHECK ("version" >= 1),
  ADD CONSTRAINT "acceptance_rule_terms_check" CHECK (
    "moderator_acceptances" >= 1 AND "clean_days" >= 1 AND "account_days" >= 0 AND "other_testers" >= 1
    AND "farthest_percent" > 0 AND "farthest_percent" <= 100 AND "most_per_day" >= 1 AND "sample_every" >= 2);

CREATE TRIGGER "acceptance_rule_is_immutable" BEFORE UPDATE OR DELETE OR TRUNCATE ON "acceptance_rule"
  FOR EACH STATEMENT EXECUTE FUNCTION "refuse_change"();
