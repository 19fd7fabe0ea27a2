-- The same bytes never count twice, whoever uploads them for whichever pack. Acceptances of one log wait for each other.
CREATE FUNCTION "refuse_second_count"() RETURNS TRIGGER LANGUAGE plpgsql AS $$
BEGIN
  PERFORM pg_advisory_xact_lock(hashtextextended(encode(NEW."log_sha256", 'hex'), 1));
  IF EXISTS (
    SELECT FROM "run" WHERE "log_sha256" = NEW."log_sha256" AND "review_state" = 'accepted' AND "id" <> NEW."id"
  ) THEN
    RAISE EXCEPTION 'an accepted run has this log already'
      USING ERRCODE = 'unique_violation', CONSTRAINT = 'run_log_counts_once', TABLE = 'run';
  END IF;
  RETURN NEW;
END
$$;
CREATE TRIGGER "run_log_counts_once" BEFORE INSERT OR UPDATE OF "review_state" ON "run"
  FOR EACH ROW WHEN (NEW."review_state" = 'accepted') EXECUTE FUNCTION "refuse_second_count"();
