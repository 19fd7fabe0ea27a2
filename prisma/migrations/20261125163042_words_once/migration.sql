-- The words of a decision stand once, in the record of transitions, where they can be erased; this copy was never read.
ALTER TABLE "review" DROP COLUMN "note";
