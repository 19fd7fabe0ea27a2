-- CreateTable
CREATE TABLE "account" (
    "id" UUID NOT NULL,
    "handle" TEXT NOT NULL,
    "password_hash" TEXT NOT NULL,
    "role" TEXT NOT NULL DEFAULT 'tester',
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "account_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "session" (
    "id" UUID NOT NULL,
    "token_hash" BYTEA NOT NULL,
    "account_id" UUID NOT NULL,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "expires_at" TIMESTAMPTZ(3) NOT NULL,

    CONSTRAINT "session_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "pack" (
    "id" UUID NOT NULL,
    "maker" TEXT NOT NULL,
    "name" TEXT NOT NULL,
    "chemistry" TEXT NOT NULL,
    "series" INTEGER NOT NULL,
    "parallel" INTEGER NOT NULL,
    "rated_capacity_mah" DOUBLE PRECISION NOT NULL,
    "label_continuous_c" DOUBLE PRECISION,
    "label_burst_c" DOUBLE PRECISION,
    "mass_grams" DOUBLE PRECISION,
    "created_by_id" UUID NOT NULL,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "pack_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "specimen" (
    "id" UUID NOT NULL,
    "pack_id" UUID NOT NULL,
    "owner_id" UUID NOT NULL,
    "label" TEXT NOT NULL,
    "cycles" INTEGER NOT NULL,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "specimen_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "bench" (
    "id" UUID NOT NULL,
    "owner_id" UUID NOT NULL,
    "label" TEXT NOT NULL,
    "load_kind" TEXT NOT NULL,
    "voltage_percent" DOUBLE PRECISION NOT NULL,
    "voltage_offset" DOUBLE PRECISION NOT NULL,
    "current_percent" DOUBLE PRECISION NOT NULL,
    "current_offset" DOUBLE PRECISION NOT NULL,
    "temperature_offset" DOUBLE PRECISION,
    "sense_point" TEXT NOT NULL,
    "sense_resistance_milliohm" DOUBLE PRECISION,
    "sense_gauge_awg" DOUBLE PRECISION,
    "sense_length_mm" DOUBLE PRECISION,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "bench_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "protocol" (
    "key" TEXT NOT NULL,
    "version" INTEGER NOT NULL,
    "document" JSONB NOT NULL,
    "published_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "protocol_pkey" PRIMARY KEY ("key","version")
);

-- CreateTable
CREATE TABLE "log" (
    "sha256" BYTEA NOT NULL,
    "bytes" BIGINT NOT NULL,
    "media_type" TEXT NOT NULL,
    "received_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "log_pkey" PRIMARY KEY ("sha256")
);

-- CreateTable
CREATE TABLE "log_chunk" (
    "sha256" BYTEA NOT NULL,
    "position" INTEGER NOT NULL,
    "bytes" BYTEA NOT NULL,

    CONSTRAINT "log_chunk_pkey" PRIMARY KEY ("sha256","position")
);

-- CreateTable
CREATE TABLE "run" (
    "id" UUID NOT NULL,
    "specimen_id" UUID NOT NULL,
    "bench_id" UUID NOT NULL,
    "tester_id" UUID NOT NULL,
    "protocol_key" TEXT NOT NULL,
    "protocol_version" INTEGER NOT NULL,
    "log_sha256" BYTEA NOT NULL,
    "file_name" TEXT NOT NULL,
    "started_at" TIMESTAMPTZ(3),
    "ambient_c" DOUBLE PRECISION,
    "rest_minutes" DOUBLE PRECISION,
    "cycles" INTEGER,
    "setpoint_a" DOUBLE PRECISION,
    "columns" JSONB,
    "state" TEXT NOT NULL DEFAULT 'queued',
    "error" JSONB,
    "review_state" TEXT NOT NULL DEFAULT 'pending',
    "withdrawal" INTEGER NOT NULL DEFAULT 0,
    "current_evaluation_id" UUID,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "run_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "evaluation" (
    "id" UUID NOT NULL,
    "run_id" UUID NOT NULL,
    "protocol_key" TEXT NOT NULL,
    "protocol_version" INTEGER NOT NULL,
    "computation_version" INTEGER NOT NULL,
    "log_sha256" BYTEA NOT NULL,
    "verdict" TEXT NOT NULL,
    "rows" INTEGER NOT NULL,
    "columns" JSONB NOT NULL,
    "samples" INTEGER NOT NULL,
    "rate_hz" DOUBLE PRECISION NOT NULL,
    "duration_s" DOUBLE PRECISION NOT NULL,
    "cutoff_s" DOUBLE PRECISION,
    "stop" TEXT NOT NULL,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "evaluation_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "trace" (
    "evaluation_id" UUID NOT NULL,
    "encoding" TEXT NOT NULL,
    "data" BYTEA NOT NULL,

    CONSTRAINT "trace_pkey" PRIMARY KEY ("evaluation_id")
);

-- CreateTable
CREATE TABLE "figure" (
    "evaluation_id" UUID NOT NULL,
    "key" TEXT NOT NULL,
    "basis" TEXT NOT NULL,
    "value" DOUBLE PRECISION NOT NULL,
    "unit" TEXT NOT NULL,
    "uncertainty" DOUBLE PRECISION NOT NULL,
    "bound" TEXT NOT NULL,
    "budget" JSONB NOT NULL,

    CONSTRAINT "figure_pkey" PRIMARY KEY ("evaluation_id","key","basis")
);

-- CreateTable
CREATE TABLE "finding" (
    "evaluation_id" UUID NOT NULL,
    "position" INTEGER NOT NULL,
    "rule" TEXT NOT NULL,
    "severity" TEXT NOT NULL,
    "outcome" TEXT NOT NULL,
    "observed" DOUBLE PRECISION,
    "limit" TEXT NOT NULL,
    "unit" TEXT NOT NULL,
    "message" TEXT NOT NULL,
    "span_from_s" DOUBLE PRECISION,
    "span_to_s" DOUBLE PRECISION,

    CONSTRAINT "finding_pkey" PRIMARY KEY ("evaluation_id","rule")
);

-- CreateTable
CREATE TABLE "adjustment" (
    "evaluation_id" UUID NOT NULL,
    "position" INTEGER NOT NULL,
    "kind" TEXT NOT NULL,
    "message" TEXT NOT NULL,
    "before" DOUBLE PRECISION,
    "after" DOUBLE PRECISION,
    "unit" TEXT NOT NULL,

    CONSTRAINT "adjustment_pkey" PRIMARY KEY ("evaluation_id","position")
);

-- CreateTable
CREATE TABLE "review" (
    "id" UUID NOT NULL,
    "run_id" UUID NOT NULL,
    "moderator_id" UUID NOT NULL,
    "decision" TEXT NOT NULL,
    "rules" TEXT[],
    "note" TEXT NOT NULL,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "review_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "standing" (
    "protocol_key" TEXT NOT NULL,
    "figure" TEXT NOT NULL,
    "pack_id" UUID NOT NULL,
    "chemistry" TEXT NOT NULL,
    "series" INTEGER NOT NULL,
    "rated_capacity_mah" DOUBLE PRECISION NOT NULL,
    "value" DOUBLE PRECISION NOT NULL,
    "unit" TEXT NOT NULL,
    "uncertainty" DOUBLE PRECISION NOT NULL,
    "testers" INTEGER NOT NULL,
    "runs" INTEGER NOT NULL,
    "provisional" BOOLEAN NOT NULL,
    "basis" TEXT NOT NULL,
    "own_load_value" DOUBLE PRECISION,
    "sort_value" DOUBLE PRECISION NOT NULL,
    "updated_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "standing_pkey" PRIMARY KEY ("protocol_key","figure","pack_id")
);

-- CreateIndex
CREATE UNIQUE INDEX "session_token_hash_key" ON "session"("token_hash");

-- CreateIndex
CREATE INDEX "session_account_id_idx" ON "session"("account_id");

-- CreateIndex
CREATE INDEX "session_expires_at_idx" ON "session"("expires_at");

-- CreateIndex
CREATE INDEX "pack_chemistry_series_id_idx" ON "pack"("chemistry", "series", "id");

-- CreateIndex
CREATE INDEX "specimen_pack_id_idx" ON "specimen"("pack_id");

-- CreateIndex
CREATE UNIQUE INDEX "specimen_owner_id_pack_id_label_key" ON "specimen"("owner_id", "pack_id", "label");

-- CreateIndex
CREATE UNIQUE INDEX "bench_owner_id_label_key" ON "bench"("owner_id", "label");

-- CreateIndex
CREATE UNIQUE INDEX "run_current_evaluation_id_key" ON "run"("current_evaluation_id");

-- CreateIndex
CREATE INDEX "run_specimen_id_idx" ON "run"("specimen_id");

-- CreateIndex
CREATE INDEX "run_bench_id_idx" ON "run"("bench_id");

-- CreateIndex
CREATE INDEX "run_log_sha256_idx" ON "run"("log_sha256");

-- CreateIndex
CREATE INDEX "run_review_state_state_id_idx" ON "run"("review_state", "state", "id");

-- CreateIndex
CREATE UNIQUE INDEX "run_same_upload_key" ON "run"("tester_id", "specimen_id", "bench_id", "protocol_key", "protocol_version", "log_sha256", "withdrawal");

-- CreateIndex
CREATE INDEX "evaluation_run_id_idx" ON "evaluation"("run_id");

-- CreateIndex
CREATE INDEX "review_run_id_idx" ON "review"("run_id");

-- CreateIndex
CREATE INDEX "standing_protocol_key_figure_sort_value_pack_id_idx" ON "standing"("protocol_key", "figure", "sort_value" DESC, "pack_id");

-- AddForeignKey
ALTER TABLE "session" ADD CONSTRAINT "session_account_id_fkey" FOREIGN KEY ("account_id") REFERENCES "account"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "pack" ADD CONSTRAINT "pack_created_by_id_fkey" FOREIGN KEY ("created_by_id") REFERENCES "account"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "specimen" ADD CONSTRAINT "specimen_pack_id_fkey" FOREIGN KEY ("pack_id") REFERENCES "pack"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "specimen" ADD CONSTRAINT "specimen_owner_id_fkey" FOREIGN KEY ("owner_id") REFERENCES "account"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "bench" ADD CONSTRAINT "bench_owner_id_fkey" FOREIGN KEY ("owner_id") REFERENCES "account"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "log_chunk" ADD CONSTRAINT "log_chunk_sha256_fkey" FOREIGN KEY ("sha256") REFERENCES "log"("sha256") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "run" ADD CONSTRAINT "run_specimen_id_fkey" FOREIGN KEY ("specimen_id") REFERENCES "specimen"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "run" ADD CONSTRAINT "run_bench_id_fkey" FOREIGN KEY ("bench_id") REFERENCES "bench"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "run" ADD CONSTRAINT "run_tester_id_fkey" FOREIGN KEY ("tester_id") REFERENCES "account"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "run" ADD CONSTRAINT "run_protocol_key_protocol_version_fkey" FOREIGN KEY ("protocol_key", "protocol_version") REFERENCES "protocol"("key", "version") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "run" ADD CONSTRAINT "run_log_sha256_fkey" FOREIGN KEY ("log_sha256") REFERENCES "log"("sha256") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "run" ADD CONSTRAINT "run_current_evaluation_id_fkey" FOREIGN KEY ("current_evaluation_id") REFERENCES "evaluation"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "evaluation" ADD CONSTRAINT "evaluation_run_id_fkey" FOREIGN KEY ("run_id") REFERENCES "run"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "evaluation" ADD CONSTRAINT "evaluation_protocol_key_protocol_version_fkey" FOREIGN KEY ("protocol_key", "protocol_version") REFERENCES "protocol"("key", "version") ON DELETE RESTRICT ON UPDATE RESTRICT;

-- AddForeignKey
ALTER TABLE "evaluation" ADD CONSTRAINT "evaluation_log_sha256_fkey" FOREIGN KEY ("log_sha256") REFERENCES "log"("sha256") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "trace" ADD CONSTRAINT "trace_evaluation_id_fkey" FOREIGN KEY ("evaluation_id") REFERENCES "evaluation"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "figure" ADD CONSTRAINT "figure_evaluation_id_fkey" FOREIGN KEY ("evaluation_id") REFERENCES "evaluation"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "finding" ADD CONSTRAINT "finding_evaluation_id_fkey" FOREIGN KEY ("evaluation_id") REFERENCES "evaluation"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "adjustment" ADD CONSTRAINT "adjustment_evaluation_id_fkey" FOREIGN KEY ("evaluation_id") REFERENCES "evaluation"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "review" ADD CONSTRAINT "review_run_id_fkey" FOREIGN KEY ("run_id") REFERENCES "run"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "review" ADD CONSTRAINT "review_moderator_id_fkey" FOREIGN KEY ("moderator_id") REFERENCES "account"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "standing" ADD CONSTRAINT "standing_pack_id_fkey" FOREIGN KEY ("pack_id") REFERENCES "pack"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- What follows is written by hand: it says what schema.prisma cannot.

-- Measured numbers are numbers: neither NaN nor infinite.
CREATE FUNCTION "is_finite"("number" DOUBLE PRECISION) RETURNS BOOLEAN
  LANGUAGE SQL IMMUTABLE PARALLEL SAFE
  RETURN "number" > '-Infinity'::DOUBLE PRECISION AND "number" < 'Infinity'::DOUBLE PRECISION;

ALTER TABLE "account"
  ADD CONSTRAINT "account_handle_check" CHECK ("handle" ~ '^[A-Za-z0-9][A-Za-z0-9_-]{2,31}$'),
  ADD CONSTRAINT "account_role_check" CHECK ("role" IN ('tester', 'moderator', 'administrator'));
CREATE UNIQUE INDEX "account_handle_key" ON "account" (LOWER("handle"));

ALTER TABLE "session"
  ADD CONSTRAINT "session_token_hash_check" CHECK (OCTET_LENGTH("token_hash") = 32),
  ADD CONSTRAINT "session_expires_at_check" CHECK ("expires_at" > "created_at");

ALTER TABLE "pack"
  ADD CONSTRAINT "pack_maker_check" CHECK (CHAR_LENGTH("maker") BETWEEN 1 AND 80),
  ADD CONSTRAINT "pack_name_check" CHECK (CHAR_LENGTH("name") BETWEEN 1 AND 120),
  ADD CONSTRAINT "pack_chemistry_check" CHECK ("chemistry" IN ('lipo', 'lihv', 'liion', 'lifepo4')),
  ADD CONSTRAINT "pack_series_check" CHECK ("series" BETWEEN 1 AND 100),
  ADD CONSTRAINT "pack_parallel_check" CHECK ("parallel" BETWEEN 1 AND 100),
  ADD CONSTRAINT "pack_rated_capacity_mah_check" CHECK ("rated_capacity_mah" > 0 AND is_finite("rated_capacity_mah")),
  ADD CONSTRAINT "pack_label_continuous_c_check" CHECK ("label_continuous_c" > 0 AND is_finite("label_continuous_c")),
  ADD CONSTRAINT "pack_label_burst_c_check" CHECK ("label_burst_c" > 0 AND is_finite("label_burst_c")),
  ADD CONSTRAINT "pack_mass_grams_check" CHECK ("mass_grams" > 0 AND is_finite("mass_grams"));
CREATE UNIQUE INDEX "pack_same_product_key"
  ON "pack" (LOWER("maker"), LOWER("name"), "series", "parallel", "rated_capacity_mah");

ALTER TABLE "specimen"
  ADD CONSTRAINT "specimen_label_check" CHECK (CHAR_LENGTH("label") BETWEEN 1 AND 80),
  ADD CONSTRAINT "specimen_cycles_check" CHECK ("cycles" >= 0);

ALTER TABLE "bench"
  ADD CONSTRAINT "bench_label_check" CHECK (CHAR_LENGTH("label") BETWEEN 1 AND 80),
  ADD CONSTRAINT "bench_load_kind_check"
    CHECK ("load_kind" IN ('throttle', 'constant-current', 'constant-resistance', 'constant-power')),
  ADD CONSTRAINT "bench_voltage_percent_check" CHECK ("voltage_percent" BETWEEN 0 AND 100),
  ADD CONSTRAINT "bench_voltage_offset_check" CHECK ("voltage_offset" >= 0 AND is_finite("voltage_offset")),
  ADD CONSTRAINT "bench_current_percent_check" CHECK ("current_percent" BETWEEN 0 AND 100),
  ADD CONSTRAINT "bench_current_offset_check" CHECK ("current_offset" >= 0 AND is_finite("current_offset")),
  ADD CONSTRAINT "bench_temperature_offset_check" CHECK ("temperature_offset" >= 0 AND is_finite("temperature_offset")),
  ADD CONSTRAINT "bench_sense_point_check" CHECK ("sense_point" IN ('pack', 'lead')),
  ADD CONSTRAINT "bench_sense_resistance_milliohm_check"
    CHECK ("sense_resistance_milliohm" >= 0 AND is_finite("sense_resistance_milliohm")),
  ADD CONSTRAINT "bench_sense_gauge_awg_check" CHECK ("sense_gauge_awg" BETWEEN -3 AND 40),
  ADD CONSTRAINT "bench_sense_length_mm_check" CHECK ("sense_length_mm" > 0 AND is_finite("sense_length_mm")),
  ADD CONSTRAINT "bench_lead_resistance_known_check" CHECK (
    "sense_point" <> 'lead'
    OR "sense_resistance_milliohm" IS NOT NULL
    OR ("sense_gauge_awg" IS NOT NULL AND "sense_length_mm" IS NOT NULL)
  );

ALTER TABLE "protocol"
  ADD CONSTRAINT "protocol_key_check" CHECK ("key" ~ '^[a-z][a-z0-9-]{0,63}$'),
  ADD CONSTRAINT "protocol_version_check" CHECK ("version" >= 1),
  ADD CONSTRAINT "protocol_document_check" CHECK (JSONB_TYPEOF("document") = 'object');

ALTER TABLE "log"
  ADD CONSTRAINT "log_sha256_check" CHECK (OCTET_LENGTH("sha256") = 32),
  ADD CONSTRAINT "log_bytes_check" CHECK ("bytes" >= 0);

ALTER TABLE "log_chunk"
  ADD CONSTRAINT "log_chunk_position_check" CHECK ("position" >= 0),
  ADD CONSTRAINT "log_chunk_bytes_check" CHECK (OCTET_LENGTH("bytes") BETWEEN 1 AND 1048576);

ALTER TABLE "run"
  ADD CONSTRAINT "run_file_name_check" CHECK (CHAR_LENGTH("file_name") <= 255),
  ADD CONSTRAINT "run_ambient_c_check" CHECK (is_finite("ambient_c")),
  ADD CONSTRAINT "run_rest_minutes_check" CHECK ("rest_minutes" >= 0 AND is_finite("rest_minutes")),
  ADD CONSTRAINT "run_cycles_check" CHECK ("cycles" >= 0),
  ADD CONSTRAINT "run_setpoint_a_check" CHECK ("setpoint_a" > 0 AND is_finite("setpoint_a")),
  ADD CONSTRAINT "run_state_check" CHECK ("state" IN ('queued', 'processing', 'processed', 'failed')),
  ADD CONSTRAINT "run_error_check" CHECK (("state" = 'failed') = ("error" IS NOT NULL)),
  ADD CONSTRAINT "run_processed_check" CHECK ("state" <> 'processed' OR "current_evaluation_id" IS NOT NULL),
  ADD CONSTRAINT "run_withdrawal_check" CHECK (("review_state" = 'withdrawn') = ("withdrawal" > 0)),
  ADD CONSTRAINT "run_review_state_check" CHECK ("review_state" IN ('pending', 'info-requested', 'accepted', 'rejected', 'withdrawn'));

ALTER TABLE "evaluation"
  ADD CONSTRAINT "evaluation_verdict_check"
    CHECK ("verdict" IN ('conforming', 'conforming-adjusted', 'nonconforming')),
  ADD CONSTRAINT "evaluation_rows_check" CHECK ("rows" >= 0),
  ADD CONSTRAINT "evaluation_samples_check" CHECK ("samples" >= 0),
  ADD CONSTRAINT "evaluation_rate_hz_check" CHECK ("rate_hz" >= 0 AND is_finite("rate_hz")),
  ADD CONSTRAINT "evaluation_duration_s_check" CHECK ("duration_s" >= 0 AND is_finite("duration_s")),
  ADD CONSTRAINT "evaluation_cutoff_s_check" CHECK ("cutoff_s" >= 0 AND is_finite("cutoff_s")),
  ADD CONSTRAINT "evaluation_stop_check"
    CHECK ("stop" IN ('cutoff', 'temperature-limit', 'log-end', 'load-lost', 'operator'));

ALTER TABLE "figure"
  ADD CONSTRAINT "figure_basis_check" CHECK ("basis" IN ('measured', 'corrected', 'translated')),
  ADD CONSTRAINT "figure_value_check" CHECK (is_finite("value")),
  ADD CONSTRAINT "figure_uncertainty_check" CHECK ("uncertainty" >= 0 AND is_finite("uncertainty")),
  ADD CONSTRAINT "figure_bound_check" CHECK ("bound" IN ('none', 'lower', 'upper'));

ALTER TABLE "finding"
  ADD CONSTRAINT "finding_position_check" CHECK ("position" >= 0),
  ADD CONSTRAINT "finding_severity_check" CHECK ("severity" IN ('required', 'corrected', 'advised')),
  ADD CONSTRAINT "finding_outcome_check" CHECK ("outcome" IN ('pass', 'fail', 'not-assessable')),
  ADD CONSTRAINT "finding_observed_check" CHECK (is_finite("observed")),
  ADD CONSTRAINT "finding_span_check" CHECK (
    ("span_from_s" IS NULL) = ("span_to_s" IS NULL)
    AND is_finite("span_from_s") AND is_finite("span_to_s") AND "span_from_s" <= "span_to_s"
  );

ALTER TABLE "adjustment"
  ADD CONSTRAINT "adjustment_position_check" CHECK ("position" >= 0),
  ADD CONSTRAINT "adjustment_before_check" CHECK (is_finite("before")),
  ADD CONSTRAINT "adjustment_after_check" CHECK (is_finite("after"));

ALTER TABLE "review"
  ADD CONSTRAINT "review_decision_check" CHECK ("decision" IN ('accept', 'reject', 'request-info')),
  ADD CONSTRAINT "review_note_check" CHECK (CHAR_LENGTH("note") <= 4000);

ALTER TABLE "standing"
  ADD CONSTRAINT "standing_value_check" CHECK (is_finite("value")),
  ADD CONSTRAINT "standing_uncertainty_check" CHECK ("uncertainty" >= 0 AND is_finite("uncertainty")),
  ADD CONSTRAINT "standing_basis_check" CHECK ("basis" IN ('own', 'translated')),
  ADD CONSTRAINT "standing_own_load_value_check" CHECK (is_finite("own_load_value")),
  ADD CONSTRAINT "standing_sort_value_check" CHECK (is_finite("sort_value")),
  ADD CONSTRAINT "standing_testers_check" CHECK ("testers" >= 1),
  ADD CONSTRAINT "standing_runs_check" CHECK ("runs" >= "testers");

-- Nothing published or uploaded is ever changed or lost.
CREATE FUNCTION "refuse_change"() RETURNS TRIGGER LANGUAGE plpgsql AS $$
BEGIN
  RAISE EXCEPTION 'rows of % are never changed or removed', TG_TABLE_NAME USING ERRCODE = 'restrict_violation';
END
$$;
CREATE TRIGGER "protocol_is_immutable" BEFORE UPDATE OR DELETE OR TRUNCATE ON "protocol"
  FOR EACH STATEMENT EXECUTE FUNCTION "refuse_change"();
CREATE TRIGGER "log_is_immutable" BEFORE UPDATE OR DELETE OR TRUNCATE ON "log"
  FOR EACH STATEMENT EXECUTE FUNCTION "refuse_change"();
CREATE TRIGGER "log_chunk_is_immutable" BEFORE UPDATE OR DELETE OR TRUNCATE ON "log_chunk"
  FOR EACH STATEMENT EXECUTE FUNCTION "refuse_change"();

-- Nobody decides on a run of their own.
CREATE FUNCTION "refuse_own_review"() RETURNS TRIGGER LANGUAGE plpgsql AS $$
BEGIN
  IF EXISTS (SELECT FROM "run" WHERE "id" = NEW."run_id" AND "tester_id" = NEW."moderator_id") THEN
    RAISE EXCEPTION 'a run is never reviewed by its own tester'
      USING ERRCODE = 'check_violation', CONSTRAINT = 'review_not_own_run', TABLE = 'review';
  END IF;
  RETURN NEW;
END
$$;
CREATE TRIGGER "review_not_own_run" BEFORE INSERT OR UPDATE ON "review"
  FOR EACH ROW EXECUTE FUNCTION "refuse_own_review"();
