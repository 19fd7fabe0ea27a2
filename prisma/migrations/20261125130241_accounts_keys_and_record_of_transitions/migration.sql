-- AlterTable
ALTER TABLE "account" ADD COLUMN     "erased_at" TIMESTAMPTZ(3),
ALTER COLUMN "password_hash" DROP NOT NULL;

-- AlterTable
ALTER TABLE "session" ADD COLUMN     "last_used_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP;

-- CreateTable
CREATE TABLE "api_key" (
    "id" UUID NOT NULL,
    "key_hash" BYTEA NOT NULL,
    "account_id" UUID NOT NULL,
    "label" TEXT NOT NULL,
    "scopes" TEXT[],
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,
    "last_used_at" TIMESTAMPTZ(3),

    CONSTRAINT "api_key_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "setup_token" (
    "id" INTEGER NOT NULL,
    "token_hash" BYTEA NOT NULL,
    "expires_at" TIMESTAMPTZ(3) NOT NULL,

    CONSTRAINT "setup_token_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "audit_log" (
    "position" BIGINT NOT NULL,
    "at" TIMESTAMPTZ(3) NOT NULL,
    "actor_id" UUID,
    "event" TEXT NOT NULL,
    "subject_kind" TEXT NOT NULL,
    "subject_id" TEXT NOT NULL,
    "from_state" TEXT,
    "to_state" TEXT,
    "rules" TEXT[],
    "reason_digest" BYTEA,
    "previous_hash" BYTEA NOT NULL,
    "hash" BYTEA NOT NULL,

    CONSTRAINT "audit_log_pkey" PRIMARY KEY ("position")
);

-- CreateTable
CREATE TABLE "audit_reason" (
    "position" BIGINT NOT NULL,
    "salt" BYTEA NOT NULL,
    "text" TEXT NOT NULL,

    CONSTRAINT "audit_reason_pkey" PRIMARY KEY ("position")
);

-- CreateTable
CREATE TABLE "limit_state" (
    "key" VARCHAR(255) NOT NULL,
    "points" INTEGER NOT NULL DEFAULT 0,
    "expire" BIGINT,

    CONSTRAINT "limit_state_pkey" PRIMARY KEY ("key")
);

-- CreateIndex
CREATE UNIQUE INDEX "api_key_key_hash_key" ON "api_key"("key_hash");

-- CreateIndex
CREATE INDEX "api_key_account_id_idx" ON "api_key"("account_id");

-- CreateIndex
CREATE UNIQUE INDEX "audit_log_hash_key" ON "audit_log"("hash");

-- CreateIndex
CREATE INDEX "audit_log_subject_kind_subject_id_position_idx" ON "audit_log"("subject_kind", "subject_id", "position");

-- CreateIndex
CREATE INDEX "audit_log_actor_id_idx" ON "audit_log"("actor_id");

-- AddForeignKey
ALTER TABLE "api_key" ADD CONSTRAINT "api_key_account_id_fkey" FOREIGN KEY ("account_id") REFERENCES "account"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "audit_reason" ADD CONSTRAINT "audit_reason_position_fkey" FOREIGN KEY ("position") REFERENCES "audit_log"("position") ON DELETE RESTRICT ON UPDATE CASCADE;

-- What follows is written by hand: it says what schema.prisma cannot.

ALTER TABLE "account"
  ADD CONSTRAINT "account_erased_check" CHECK (("erased_at" IS NULL) = ("password_hash" IS NOT NULL));

ALTER TABLE "api_key"
  ADD CONSTRAINT "api_key_key_hash_check" CHECK (OCTET_LENGTH("key_hash") = 32),
  ADD CONSTRAINT "api_key_label_check" CHECK (CHAR_LENGTH("label") BETWEEN 1 AND 80),
  ADD CONSTRAINT "api_key_scopes_check"
    CHECK (CARDINALITY("scopes") BETWEEN 1 AND 3 AND "scopes" <@ ARRAY['read', 'write', 'review']);

ALTER TABLE "setup_token"
  ADD CONSTRAINT "setup_token_id_check" CHECK ("id" = 1),
  ADD CONSTRAINT "setup_token_token_hash_check" CHECK (OCTET_LENGTH("token_hash") = 32);

-- Limits are no record: they may be lost in a crash, and writing them should cost little.
ALTER TABLE "limit_state" SET UNLOGGED;

ALTER TABLE "audit_log"
  ADD CONSTRAINT "audit_log_event_check" CHECK ("event" ~ '^[a-z][a-z-]{0,63}$'),
  ADD CONSTRAINT "audit_log_subject_kind_check" CHECK ("subject_kind" ~ '^[a-z][a-z-]{0,63}$'),
  ADD CONSTRAINT "audit_log_subject_id_check" CHECK (CHAR_LENGTH("subject_id") BETWEEN 1 AND 200),
  ADD CONSTRAINT "audit_log_reason_digest_check" CHECK (OCTET_LENGTH("reason_digest") = 32),
  ADD CONSTRAINT "audit_log_previous_hash_check" CHECK (OCTET_LENGTH("previous_hash") = 32),
  ADD CONSTRAINT "audit_log_hash_check" CHECK (OCTET_LENGTH("hash") = 32);

CREATE TRIGGER "audit_log_is_immutable" BEFORE UPDATE OR DELETE OR TRUNCATE ON "audit_log"
  FOR EACH STATEMENT EXECUTE FUNCTION "refuse_change"();
-- The words of a reason may be erased, never changed.
CREATE TRIGGER "audit_reason_is_unchanged" BEFORE UPDATE OR TRUNCATE ON "audit_reason"
  FOR EACH STATEMENT EXECUTE FUNCTION "refuse_change"();

-- A row is added at the end of the chain or not at all.
CREATE FUNCTION "refuse_unchained"() RETURNS TRIGGER LANGUAGE plpgsql AS $$
DECLARE
  last RECORD;
BEGIN
  SELECT "position", "hash" INTO last FROM "audit_log" ORDER BY "position" DESC LIMIT 1;
  IF NEW."position" <> COALESCE(last."position", 0) + 1
    OR NEW."previous_hash" <> COALESCE(last."hash", decode(repeat('00', 32), 'hex')) THEN
    RAISE EXCEPTION 'an entry follows the last one of the chain'
      USING ERRCODE = 'check_violation', CONSTRAINT = 'audit_log_chained', TABLE = 'audit_log';
  END IF;
  RETURN NEW;
END
$$;
CREATE TRIGGER "audit_log_chained" BEFORE INSERT ON "audit_log"
  FOR EACH ROW EXECUTE FUNCTION "refuse_unchained"();
