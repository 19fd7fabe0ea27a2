import { Injectable } from "@nestjs/common";
import type { Transaction } from "../../platform/database/database.js";
import { IS_TAKEN, type Target } from "./reevaluations.repository.js";

/** Which re-evaluation, and what it makes count. */
export interface Tried extends Target {
  readonly id: string;
  readonly dryRun: boolean;
}

/** Lets standings be read as if a re-evaluation had ended. */
@Injectable()
export class AsIfDoneRepository {
  /**
   * Does reads of some packs that find, in place of the record, what a re-evaluation would leave behind: temporary tables of the transaction
   * stand before those of the same name, and are gone after it. Nothing of the record is written or locked.
   */
  async read<T>(
    tx: Transaction,
    tried: Tried,
    packIds: readonly string[],
    work: (tx: Transaction) => Promise<T>,
  ): Promise<T> {
    const { id, dryRun, protocolKey: key, protocolVersion: version, computationVersion } = tried;
    for (const statement of STAND_INS) await tx.$executeRawUnsafe(statement);
    await tx.$executeRaw`
      INSERT INTO pg_temp.active_version VALUES (${key}, ${version}::int, ${computationVersion}::int)`;
    await tx.$executeRaw`
      INSERT INTO pg_temp.run SELECT run.* FROM public.run
      WHERE run.pack_id = ANY(${[...packIds]}::uuid[]) AND run.protocol_key = ${key}
        AND (run.review_state = 'accepted' OR run.withdrawn_from IS NOT NULL)`;
    // The id of a run serves as that of the evaluation that it would have by a dry run.
    await tx.$executeRaw`
      UPDATE pg_temp.run SET
        current_evaluation_id = CASE WHEN item.outcome <> 'evaluated' THEN current_evaluation_id
          WHEN ${dryRun} THEN run.id ELSE item.evaluation_id END,
        review_state = CASE WHEN review_state = 'accepted' AND (item.outcome = 'failed' OR item.verdict = 'nonconforming')
          THEN 'pending' ELSE review_state END,
        outdated = run.outdated AND item.outcome <> 'evaluated'
      FROM reevaluation_run AS item
      WHERE item.reevaluation_id = ${id}::uuid AND item.run_id = run.id AND ${IS_TAKEN}`;
    await tx.$executeRaw`
      INSERT INTO pg_temp.evaluation
      SELECT run.id, ${key}, ${version}::int, ${computationVersion}::int, item.verdict,
        (item.result ->> 'cutoffS')::float8, item.result ->> 'stop'
      FROM pg_temp.run JOIN reevaluation_run AS item ON item.run_id = run.id AND item.reevaluation_id = ${id}::uuid
      WHERE run.current_evaluation_id = run.id
      UNION ALL SELECT made.id, made.protocol_key, made.protocol_version, made.computation_version, made.verdict, made.cutoff_s, made.stop
      FROM pg_temp.run JOIN public.evaluation AS made ON made.id = run.current_evaluation_id
      WHERE made.protocol_version = ${version}::int AND made.computation_version = ${computationVersion}::int`;
    await tx.$executeRaw`
      INSERT INTO pg_temp.figure
      SELECT run.id, figure.key, figure.basis, coalesce(figure.load, 0), figure.value, figure.unit, figure.uncertainty,
        (figure.shared ->> 'own')::float8, (figure.shared ->> 'kinetics')::float8, (figure.shared ->> 'resistance')::float8, (figure.shared ->> 'form')::float8,
        figure.bound
      FROM pg_temp.run JOIN reevaluation_run AS item ON item.run_id = run.id AND item.reevaluation_id = ${id}::uuid,
        jsonb_to_recordset(item.result -> 'figures')
          AS figure (key text, basis text, load float8, value float8, unit text, uncertainty float8, shared jsonb, bound text)
      WHERE run.current_evaluation_id = run.id
      UNION ALL SELECT made.evaluation_id, made.key, made.basis, made.load, made.value, made.unit, made.uncertainty, made.own_uncertainty,
        made.kinetics_uncertainty, made.resistance_uncertainty, made.form_uncertainty, made.bound
      FROM pg_temp.run JOIN public.figure AS made ON made.evaluation_id = run.current_evaluation_id`;
    await tx.$executeRaw`
      INSERT INTO pg_temp.finding
      SELECT run.id, finding.*
      FROM pg_temp.run JOIN reevaluation_run AS item ON item.run_id = run.id AND item.reevaluation_id = ${id}::uuid,
        jsonb_to_recordset(item.result -> 'findings') AS finding (rule text, observed float8)
      WHERE run.current_evaluation_id = run.id
      UNION ALL SELECT made.evaluation_id, made.rule, made.observed
      FROM pg_temp.run JOIN public.finding AS made ON made.evaluation_id = run.current_evaluation_id`;
    await tx.$executeRawUnsafe("ANALYZE pg_temp.run, pg_temp.evaluation, pg_temp.figure, pg_temp.finding");
    const found = await work(tx);
    for (const statement of AS_BEFORE) await tx.$executeRawUnsafe(statement);
    return found;
  }
}

/** Of each table what standings are computed from. */
const STAND_INS = [
  // The path is the usual one, written out: PostgreSQL looks again for the tables of a statement that a connection keeps prepared when
  // the path is another text, and not when a temporary table comes to stand before its own.
  "SET LOCAL search_path = pg_temp, public",
  "CREATE TEMPORARY TABLE active_version (protocol_key text, protocol_version int, computation_version int) ON COMMIT DROP",
  "CREATE TEMPORARY TABLE run (LIKE public.run) ON COMMIT DROP",
  "CREATE TEMPORARY TABLE evaluation (id uuid, protocol_key text, protocol_version int, computation_version int, verdict text, cutoff_s float8, stop text) ON COMMIT DROP",
  "CREATE TEMPORARY TABLE figure (evaluation_id uuid, key text, basis text, load float8, value float8, unit text, uncertainty float8, own_uncertainty float8, kinetics_uncertainty float8, resistance_uncertainty float8, form_uncertainty float8, bound text) ON COMMIT DROP",
  "CREATE TEMPORARY TABLE finding (evaluation_id uuid, rule text, observed float8) ON COMMIT DROP",
  "CREATE INDEX ON pg_temp.figure (evaluation_id, key)",
  "CREATE INDEX ON pg_temp.finding (evaluation_id, rule)",
];

const AS_BEFORE = [
  "DROP TABLE pg_temp.active_version, pg_temp.run, pg_temp.evaluation, pg_temp.figure, pg_temp.finding",
  "SET LOCAL search_path TO DEFAULT",
];
