-- Words of the first method mean nothing to the second. The service makes them anew, in the background, at its next start;
-- what was found before stays in "copy_match".
DROP TABLE "copy_word";

-- CreateTable
CREATE TABLE "copy_word" (
    "entry" BIGINT NOT NULL,

    CONSTRAINT "copy_word_pkey" PRIMARY KEY ("entry")
);

-- Written by hand: a word holds 24 bits of a run's number.
ALTER TABLE "copy_print" ADD CONSTRAINT "copy_print_number_check" CHECK ("number" < 16777216);
