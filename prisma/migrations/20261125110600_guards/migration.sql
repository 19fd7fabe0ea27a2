-- What was computed and decided is never changed or removed; another evaluation or decision is another row.
CREATE TRIGGER "evaluation_is_immutable" BEFORE UPDATE OR DELETE OR TRUNCATE ON "evaluation"
  FOR EACH STATEMENT EXECUTE FUNCTION "refuse_change"();
CREATE TRIGGER "trace_is_immutable" BEFORE UPDATE OR DELETE OR TRUNCATE ON "trace"
  FOR EACH STATEMENT EXECUTE FUNCTION "refuse_change"();
CREATE TRIGGER "figure_is_immutable" BEFORE UPDATE OR DELETE OR TRUNCATE ON "figure"
  FOR EACH STATEMENT EXECUTE FUNCTION "refuse_change"();
CREATE TRIGGER "finding_is_immutable" BEFORE UPDATE OR DELETE OR TRUNCATE ON "finding"
  FOR EACH STATEMENT EXECUTE FUNCTION "refuse_change"();
CREATE TRIGGER "adjustment_is_immutable" BEFORE UPDATE OR DELETE OR TRUNCATE ON "adjustment"
  FOR EACH STATEMENT EXECUTE FUNCTION "refuse_change"();
CREATE TRIGGER "review_is_immutable" BEFORE UPDATE OR DELETE OR TRUNCATE ON "review"
  FOR EACH STATEMENT EXECUTE FUNCTION "refuse_change"();

-- A run is of its tester's own specimen on the tester's own bench, its current evaluation is one of its own, and what does not
-- conform is never accepted.
CREATE FUNCTION "refuse_unsound_run"() RETURNS TRIGGER LANGUAGE plpgsql AS $$
BEGIN
  IF NOT EXISTS (SELECT FROM "specimen" WHERE "id" = NEW."specimen_id" AND "owner_id" = NEW."tester_id") THEN
    RAISE EXCEPTION 'the specimen of a run belongs to its tester'
      USING ERRCODE = 'check_violation', CONSTRAINT = 'run_own_specimen', TABLE = 'run';
  END IF;
  IF NOT EXISTS (SELECT FROM "bench" WHERE "id" = NEW."bench_id" AND "owner_id" = NEW."tester_id") THEN
    RAISE EXCEPTION 'the bench of a run belongs to its tester'
      USING ERRCODE = 'check_violation', CONSTRAINT = 'run_own_bench', TABLE = 'run';
  END IF;
  IF NEW."current_evaluation_id" IS NOT NULL AND NOT EXISTS (
    SELECT FROM "evaluation" WHERE "id" = NEW."current_evaluation_id" AND "run_id" = NEW."id"
  ) THEN
    RAISE EXCEPTION 'the current evaluation of a run is one of its own'
      USING ERRCODE = 'check_violation', CONSTRAINT = 'run_own_evaluation', TABLE = 'run';
  END IF;
  IF NEW."review_state" = 'accepted' AND NOT EXISTS (
    SELECT FROM "evaluation" WHERE "id" = NEW."current_evaluation_id" AND "verdict" <> 'nonconforming'
  ) THEN
    RAISE EXCEPTION 'only a run that conforms is accepted'
      USING ERRCODE = 'check_violation', CONSTRAINT = 'run_accepted_conforms', TABLE = 'run';
  END IF;
  RETURN NEW;
END
$$;
CREATE TRIGGER "run_is_sound" BEFORE INSERT OR UPDATE ON "run"
  FOR EACH ROW EXECUTE FUNCTION "refuse_unsound_run"();
