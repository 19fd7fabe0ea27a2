import { Injectable } from "@nestjs/common";
import { Database, type Transaction } from "../../platform/database/database.js";
import type { Target } from "./reevaluations.repository.js";

/** Lets standings be read as if a dry run had been a real one. */
@Injectable()
export class DryRunRepository {
  constructor(private readonly database: Database) {}

  /**
   * Does reads that find, in place of the record, what a dry run would leave behind: temporary tables of the transaction stand
   * before those of the same name. Nothing of the record is written or locked.
   */
  asIfDone<T>(id: string, target: Target, timeout: number, read: (tx: Transaction) => Promise<T>): Promise<T> {
    return this.database.$transaction(
      async (tx) => {
        for (const statement of STAND_INS) await tx.$executeRawUnsafe(statement);
        await tx.$executeRaw`
          INSERT INTO pg_temp.active_version
          VALUES (${target.protocolKey}, ${target.protocolVersion}::int, ${target.computationVersion})`;
        // The id of a run serves as that of the evaluation that it would have.
        await tx.$executeRaw`
          INSERT INTO pg_temp.run SELECT run.* FROM public.run JOIN reevaluation_run AS item ON item.run_id = run.id
          WHERE item.reevaluation_id = ${id}::uuid AND run.review_state = 'accepted' AND item.outcome = 'evaluated'
            AND item.verdict <> 'nonconforming'`;
        await tx.$executeRaw`UPDATE pg_temp.run SET current_evaluation_id = id`;
        await tx.$executeRaw`
          INSERT INTO pg_temp.evaluation
          SELECT run.id, ${target.protocolKey}, ${target.protocolVersion}::int, ${target.computationVersion}, item.verdict,
            (item.result ->> 'cutoffS')::float8, item.result ->> 'stop'
          FROM pg_temp.run JOIN reevaluation_run AS item ON item.run_id = run.id AND item.reevaluation_id = ${id}::uuid`;
        await tx.$executeRaw`
          INSERT INTO pg_temp.figure
          SELECT run.id, figure.key, figure.basis, coalesce(figure.load, 0), figure.value, figure.unit, figure.uncertainty,
            (figure.shared ->> 'own')::float8, (figure.shared ->> 'kinetics')::float8, (figure.shared ->> 'resistance')::float8, (figure.shared ->> 'form')::float8,
            figure.bound
          FROM pg_temp.run JOIN reevaluation_run AS item ON item.run_id = run.id AND item.reevaluation_id = ${id}::uuid,
            jsonb_to_recordset(item.result -> 'figures')
              AS figure (key text, basis text, load float8, value float8, unit text, uncertainty float8, shared jsonb, bound text)`;
        await tx.$executeRaw`
          INSERT INTO pg_temp.finding SELECT run.id, finding.*
          FROM pg_temp.run JOIN reevaluation_run AS item ON item.run_id = run.id AND item.reevaluation_id = ${id}::uuid,
            jsonb_to_recordset(item.result -> 'findings') AS finding (rule text, observed float8)`;
        await tx.$executeRawUnsafe("ANALYZE pg_temp.run, pg_temp.evaluation, pg_temp.figure, pg_temp.finding");
        return read(tx);
      },
      { timeout },
    );
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
