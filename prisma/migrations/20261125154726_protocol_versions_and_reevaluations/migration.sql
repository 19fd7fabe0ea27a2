-- DropIndex
DROP INDEX "run_same_upload_key";

-- AlterTable
ALTER TABLE "protocol" ADD COLUMN     "published_by_id" UUID;

-- AlterTable
ALTER TABLE "standing" ADD COLUMN     "computation_version" INTEGER,
ADD COLUMN     "protocol_version" INTEGER;

-- CreateTable
CREATE TABLE "active_version" (
    "protocol_key" TEXT NOT NULL,
    "protocol_version" INTEGER NOT NULL,
    "computation_version" INTEGER NOT NULL,
    "since" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "active_version_pkey" PRIMARY KEY ("protocol_key")
);

-- CreateTable
CREATE TABLE "reevaluation" (
    "id" UUID NOT NULL,
    "protocol_key" TEXT NOT NULL,
    "protocol_version" INTEGER NOT NULL,
    "computation_version" INTEGER NOT NULL,
    "dry_run" BOOLEAN NOT NULL,
    "document" JSONB,
    "requested_by_id" UUID,
    "state" TEXT NOT NULL DEFAULT 'evaluating',
    "error" JSONB,
    "total" INTEGER NOT NULL DEFAULT 0,
    "done" INTEGER NOT NULL DEFAULT 0,
    "failed" INTEGER NOT NULL DEFAULT 0,
    "effects" JSONB,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "finished_at" TIMESTAMPTZ(3),

    CONSTRAINT "reevaluation_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "reevaluation_run" (
    "reevaluation_id" UUID NOT NULL,
    "run_id" UUID NOT NULL,
    "outcome" TEXT NOT NULL DEFAULT 'pending',
    "verdict" TEXT,
    "failed_rules" TEXT[],
    "evaluation_id" UUID,
    "result" JSONB,
    "error" JSONB,

    CONSTRAINT "reevaluation_run_pkey" PRIMARY KEY ("reevaluation_id","run_id")
);

-- CreateIndex
CREATE INDEX "reevaluation_run_run_id_idx" ON "reevaluation_run"("run_id");

-- CreateIndex
CREATE UNIQUE INDEX "run_same_upload_key" ON "run"("tester_id", "specimen_id", "bench_id", "protocol_key", "log_sha256", "withdrawal");

-- AddForeignKey
ALTER TABLE "protocol" ADD CONSTRAINT "protocol_published_by_id_fkey" FOREIGN KEY ("published_by_id") REFERENCES "account"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "active_version" ADD CONSTRAINT "active_version_protocol_key_protocol_version_fkey" FOREIGN KEY ("protocol_key", "protocol_version") REFERENCES "protocol"("key", "version") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "reevaluation" ADD CONSTRAINT "reevaluation_requested_by_id_fkey" FOREIGN KEY ("requested_by_id") REFERENCES "account"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "reevaluation_run" ADD CONSTRAINT "reevaluation_run_reevaluation_id_fkey" FOREIGN KEY ("reevaluation_id") REFERENCES "reevaluation"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "reevaluation_run" ADD CONSTRAINT "reevaluation_run_run_id_fkey" FOREIGN KEY ("run_id") REFERENCES "run"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "reevaluation_run" ADD CONSTRAINT "reevaluation_run_evaluation_id_fkey" FOREIGN KEY ("evaluation_id") REFERENCES "evaluation"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- Until now runs counted under the newest version of their protocol. Where some were computed by an older computation, the
-- oldest one counts, so that the service evaluates them anew.
INSERT INTO "active_version" ("protocol_key", "protocol_version", "computation_version")
SELECT "protocol"."key", MAX("protocol"."version"), COALESCE((
  SELECT "evaluation"."computation_version" FROM "run"
  JOIN "evaluation" ON "evaluation"."id" = "run"."current_evaluation_id"
  WHERE "run"."protocol_key" = "protocol"."key"
  ORDER BY "evaluation"."computation_version" LIMIT 1
), 2)
FROM "protocol" GROUP BY "protocol"."key";
UPDATE "standing" SET "protocol_version" = "active"."protocol_version", "computation_version" = "active"."computation_version"
FROM "active_version" AS "active" WHERE "active"."protocol_key" = "standing"."protocol_key";
ALTER TABLE "standing" ALTER COLUMN "protocol_version" SET NOT NULL, ALTER COLUMN "computation_version" SET NOT NULL;

-- One at a time for a protocol: what it finds would not hold when another one ended before.
CREATE UNIQUE INDEX "reevaluation_one_at_a_time_key" ON "reevaluation" ("protocol_key") WHERE "state" = 'evaluating';

ALTER TABLE "active_version"
  ADD CONSTRAINT "active_version_computation_check" CHECK ("computation_version" >= 1);
ALTER TABLE "reevaluation"
  ADD CONSTRAINT "reevaluation_state_check" CHECK ("state" IN ('evaluating', 'finished', 'failed', 'cancelled')),
  ADD CONSTRAINT "reevaluation_document_check" CHECK (("document" IS NOT NULL) = "dry_run"),
  ADD CONSTRAINT "reevaluation_progress_check" CHECK ("failed" >= 0 AND "failed" <= "done" AND "done" <= "total"),
  ADD CONSTRAINT "reevaluation_finished_check" CHECK (("state" = 'evaluating') = ("finished_at" IS NULL));
ALTER TABLE "reevaluation_run"
  ADD CONSTRAINT "reevaluation_run_outcome_check" CHECK ("outcome" IN ('pending', 'evaluated', 'failed', 'skipped')),
  ADD CONSTRAINT "reevaluation_run_error_check" CHECK (("error" IS NOT NULL) = ("outcome" = 'failed')),
  ADD CONSTRAINT "reevaluation_run_verdict_check" CHECK (("verdict" IS NOT NULL) = ("outcome" = 'evaluated'));
