-- AlterTable
ALTER TABLE "run" ADD COLUMN     "columns_label" TEXT;

-- CreateTable
CREATE TABLE "column_map" (
    "id" UUID NOT NULL,
    "owner_id" UUID NOT NULL,
    "label" TEXT NOT NULL,
    "header" TEXT[],
    "header_sha256" BYTEA NOT NULL,
    "columns" JSONB NOT NULL,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "column_map_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "idempotency_key" (
    "id" BYTEA NOT NULL,
    "account_id" UUID,
    "fingerprint" BYTEA NOT NULL,
    "claim" UUID NOT NULL,
    "claimed_until" TIMESTAMPTZ(3) NOT NULL,
    "status" INTEGER,
    "headers" JSONB,
    "body" TEXT,
    "expires_at" TIMESTAMPTZ(3) NOT NULL,

    CONSTRAINT "idempotency_key_pkey" PRIMARY KEY ("id")
);

-- CreateIndex
CREATE UNIQUE INDEX "column_map_same_header_key" ON "column_map"("owner_id", "header_sha256");

-- CreateIndex
CREATE INDEX "idempotency_key_account_id_idx" ON "idempotency_key"("account_id");

-- CreateIndex
CREATE INDEX "idempotency_key_expires_at_idx" ON "idempotency_key"("expires_at");

-- AddForeignKey
ALTER TABLE "column_map" ADD CONSTRAINT "column_map_owner_id_fkey" FOREIGN KEY ("owner_id") REFERENCES "account"("id") ON DELETE RESTRICT ON UPDATE CASCADE;

-- AddForeignKey
ALTER TABLE "idempotency_key" ADD CONSTRAINT "idempotency_key_account_id_fkey" FOREIGN KEY ("account_id") REFERENCES "account"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- What follows is written by hand: it says what schema.prisma cannot.

ALTER TABLE "run"
  ADD CONSTRAINT "run_columns_label_check"
    CHECK ("columns_label" IS NULL OR ("columns" IS NOT NULL AND CHAR_LENGTH("columns_label") BETWEEN 1 AND 80));

ALTER TABLE "column_map"
  ADD CONSTRAINT "column_map_label_check" CHECK (CHAR_LENGTH("label") BETWEEN 1 AND 80),
  ADD CONSTRAINT "column_map_header_check" CHECK (CARDINALITY("header") BETWEEN 1 AND 500),
  ADD CONSTRAINT "column_map_header_sha256_check" CHECK (OCTET_LENGTH("header_sha256") = 32),
  ADD CONSTRAINT "column_map_columns_check" CHECK (JSONB_TYPEOF("columns") = 'object' AND "columns" <> '{}');

-- An answer is whole or not there yet, and never a fault of the service.
ALTER TABLE "idempotency_key"
  ADD CONSTRAINT "idempotency_key_id_check" CHECK (OCTET_LENGTH("id") = 32),
  ADD CONSTRAINT "idempotency_key_fingerprint_check" CHECK (OCTET_LENGTH("fingerprint") = 32),
  ADD CONSTRAINT "idempotency_key_status_check" CHECK ("status" BETWEEN 200 AND 499),
  ADD CONSTRAINT "idempotency_key_answer_check" CHECK (("status" IS NULL) = ("headers" IS NULL) AND ("status" IS NULL) = ("body" IS NULL));
