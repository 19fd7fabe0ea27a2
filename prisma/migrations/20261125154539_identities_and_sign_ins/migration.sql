-- CreateTable
CREATE TABLE "identity" (
    "id" UUID NOT NULL,
    "account_id" UUID NOT NULL,
    "issuer" TEXT NOT NULL,
    "subject" TEXT NOT NULL,
    "created_at" TIMESTAMPTZ(3) NOT NULL DEFAULT CURRENT_TIMESTAMP,

    CONSTRAINT "identity_pkey" PRIMARY KEY ("id")
);

-- CreateTable
CREATE TABLE "sign_in" (
    "code_hash" BYTEA NOT NULL,
    "challenge" BYTEA NOT NULL,
    "issuer" TEXT NOT NULL,
    "subject" TEXT NOT NULL,
    "expires_at" TIMESTAMPTZ(3) NOT NULL,

    CONSTRAINT "sign_in_pkey" PRIMARY KEY ("code_hash")
);

-- CreateIndex
CREATE INDEX "identity_account_id_idx" ON "identity"("account_id");

-- CreateIndex
CREATE UNIQUE INDEX "identity_issuer_subject_key" ON "identity"("issuer", "subject");

-- CreateIndex
CREATE INDEX "sign_in_expires_at_idx" ON "sign_in"("expires_at");

-- AddForeignKey
ALTER TABLE "identity" ADD CONSTRAINT "identity_account_id_fkey" FOREIGN KEY ("account_id") REFERENCES "account"("id") ON DELETE CASCADE ON UPDATE CASCADE;

-- What follows is written by hand: it says what schema.prisma cannot.

-- Whoever signs in through the identity provider alone has no password; an erased account has none either.
ALTER TABLE "account"
  DROP CONSTRAINT "account_erased_check",
  ADD CONSTRAINT "account_erased_check" CHECK ("erased_at" IS NULL OR "password_hash" IS NULL);

-- OpenID Connect Core 1.0, 2: a subject has 255 characters at most.
ALTER TABLE "identity"
  ADD CONSTRAINT "identity_issuer_check" CHECK (CHAR_LENGTH("issuer") BETWEEN 1 AND 1000),
  ADD CONSTRAINT "identity_subject_check" CHECK (CHAR_LENGTH("subject") BETWEEN 1 AND 255);

ALTER TABLE "sign_in"
  ADD CONSTRAINT "sign_in_code_hash_check" CHECK (OCTET_LENGTH("code_hash") = 32),
  ADD CONSTRAINT "sign_in_challenge_check" CHECK (OCTET_LENGTH("challenge") = 32);
