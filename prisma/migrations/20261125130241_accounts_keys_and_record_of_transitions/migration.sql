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
CREATE TABLE "transition" (
    "position" BIGINT NOT NULL,
    "at" TIMESTAMPTZ(3) NOT NULL,
    "actor" UUID,
    "event" TEXT NOT NULL,
    "subject_kind" TEXT NOT NULL,
    "subject_id" TEXT NOT NULL,
    "from_state" TEXT,
    "to_state" TEXT,
    "rules" TEXT[],
    "reason_digest" BYTEA,
    "previous_hash" BYTEA NOT NULL,
    "hash" BYTEA NOT NULL,

    CONSTRAINT "transition_pkey" PRIMARY KEY ("position")
);

-- CreateTable
CREATE TABLE "transition_text" (
    "position" BIGINT NOT NULL,
    "salt" BYTEA NOT NULL,
    "text" TEXT NOT NULL,

    CONSTRAINT "transition_text_pkey" PRIMARY KEY ("position")
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
CREATE UNIQUE INDEX "transition_hash_key" ON "transition"("hash");

-- CreateIndex
CREATE INDEX "transition_subject_kind_subject_id_position_idx" ON "transition"("subject_kind", "subject_id", "position");

-- CreateIndex
CREATE INDEX "transition_actor_idx" ON "transition"("actor");

-- AddForeignKey
ALTER TABLE "api_key" ADD CONSTRAINT "api_key_account_id_fkey" FOREIGN KEY ("account_id") REFERENCES "account"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "transition_text" ADD CONSTRAINT "transition_text_position_fkey" FOREIGN KEY ("position") REFERENCES "transition"("position") ON DELETE RESTRICT ON UPDATE CASCADE;

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

ALTER TABLE "transition"
  ADD CONSTRAINT "transition_event_check" CHECK ("event" ~ '^[a-z][a-z-]{0,63}$'),
  ADD CONSTRAINT "transition_subject_kind_check" CHECK ("subject_kind" ~ '^[a-z][a-z-]{0,63}$'),
  ADD CONSTRAINT "transition_subject_id_check" CHECK (CHAR_LENGTH("subject_id") BETWEEN 1 AND 200),
  ADD CONSTRAINT "transition_reason_digest_check" CHECK (OCTET_LENGTH("reason_digest") = 32),
  ADD CONSTRAINT "transition_previous_hash_check" CHECK (OCTET_LENGTH("previous_hash") = 32),
  ADD CONSTRAINT "transition_hash_check" CHECK (OCTET_LENGTH("hash") = 32);

CREATE TRIGGER "transition_is_immutable" BEFORE UPDATE OR DELETE OR TRUNCATE ON "transition"
  FOR EACH STATEMENT EXECUTE FUNCTION "refuse_change"();
-- The words of a reason may be erased, never changed.
CREATE TRIGGER "transition_text_is_unchanged" BEFORE UPDATE OR TRUNCATE ON "transition_text"
  FOR EACH STATEMENT EXECUTE FUNCTION "refuse_change"();

-- A row is added at the end of the chain or not at all.
CREATE FUNCTION "refuse_unchained"() RETURNS TRIGGER LANGUAGE plpgsql AS $$
DECLARE
  last RECORD;
BEGIN
  SELECT "position", "hash" INTO last FROM "transition" ORDER BY "position" DESC LIMIT 1;
  IF NEW."position" <> COALESCE(last."position", 0) + 1
    OR NEW."previous_hash" <> COALESCE(last."hash", decode(repeat('00', 32), 'hex')) THEN
    RAISE EXCEPTION 'a transition follows the last one of the chain'
      USING ERRCODE = 'check_violation', CONSTRAINT = 'transition_chained', TABLE = 'transition';
  END IF;
  RETURN NEW;
END
$$;
CREATE TRIGGER "transition_chained" BEFORE INSERT ON "transition"
  FOR EACH ROW EXECUTE FUNCTION "refuse_unchained"();
