-- Words of the first method mean nothing to the second. The service makes them anew, in the background, at its next start;
-- what was found before stays in "copy_match".
DROP TABLE "copy_hash";

-- CreateTable
CREATE TABLE "copy_hash" (
    "entry" BIGINT NOT NULL,

    CONSTRAINT "copy_hash_pkey" PRIMARY KEY ("entry")
);

-- Written by hand: a word holds 24 bits of a run's number.
ALTER TABLE "copy_fingerprint" ADD CONSTRAINT "copy_fingerprint_number_check" CHECK ("number" < 16777216);
