import { Injectable } from "@nestjs/common";
import { Prisma } from "../../generated/prisma/client.js";
import type { Transaction } from "../../platform/database/database.js";
import type { Effects, RunOutcome, StandingChange } from "./effects.js";

/** Most changes that are listed; the numbers count all. */
const MAX_LISTED = 200;

type Runs = Pick<Effects, "verdicts" | "verdictsChanged" | "acceptanceRevoked" | "runs">;
type Standings = Pick<Effects, "standings" | "standingsChanged" | "placesChanged" | "standingChanges">;

/** Reads what a re-evaluation changes, before it does, when all packs are prepared. */
@Injectable()
export class EffectsRepository {
  async of(tx: Transaction, id: string, protocolKey: string): Promise<Effects> {
    return { ...(await this.ofRuns(tx, id)), ...(await this.ofStandings(tx, id, protocolKey)) };
  }

  private async ofRuns(tx: Transaction, id: string): Promise<Runs> {
    const counted = await tx.$queryRaw<(Effects["verdicts"][number] & { revoked: number })[]>`
      SELECT "from", "to", count(*)::int AS runs, count(*) FILTER (WHERE ${IS_REVOKED})::int AS revoked
      FROM (${outcomesOf(id)}) AS outcome GROUP BY "from", "to" ORDER BY min("runId")`;
    const runs = await tx.$queryRaw<RunOutcome[]>`
      SELECT "runId", review, "from", "to", "failedRules" FROM (${outcomesOf(id)}) AS outcome
      WHERE "from" IS DISTINCT FROM "to" ORDER BY ${IS_REVOKED} DESC, "runId" LIMIT ${MAX_LISTED}::int`;
    const sum = (numbers: readonly number[]) => numbers.reduce((all, one) => all + one, 0);
    return {
      verdicts: counted.map(({ from, to, runs }) => ({ from, to, runs })),
      verdictsChanged: sum(counted.map(({ from, to, runs }) => (from === to ? 0 : runs))),
      acceptanceRevoked: sum(counted.map(({ revoked }) => revoked)),
      runs,
    };
  }

  /** Those that come or go first, then by change of place, then of value. */
  private async ofStandings(tx: Transaction, id: string, protocolKey: string): Promise<Standings> {
    const before = Prisma.sql`SELECT * FROM standing WHERE protocol_key = ${protocolKey}`;
    const after = Prisma.sql`SELECT standing.* FROM prepared_pack AS prepared,
      jsonb_populate_recordset(NULL::standing, prepared.standings) AS standing WHERE prepared.reevaluation_id = ${id}::uuid`;
    const rows = await tx.$queryRaw<(Omit<Standings, "standingChanges"> & { listed: StandingChange[] | null })[]>`
      WITH before AS MATERIALIZED (${placedOf(before)}), after AS MATERIALIZED (${placedOf(after)}),
      change AS MATERIALIZED (
        SELECT pack_id, figure, load, coalesce(after.unit, before.unit) AS unit, before.value AS from_value, before.uncertainty AS from_uncertainty,
          before.place AS from_place, after.value AS to_value, after.uncertainty AS to_uncertainty, after.place AS to_place
        FROM before FULL JOIN after USING (pack_id, figure, load)
        WHERE (before.value, before.uncertainty, before.place) IS DISTINCT FROM (after.value, after.uncertainty, after.place)),
      listed AS (SELECT * FROM change ORDER BY ${ORDER} LIMIT ${MAX_LISTED}::int)
      SELECT (SELECT count(*)::int FROM after) AS standings, (SELECT count(*)::int FROM change) AS "standingsChanged",
        (SELECT count(*)::int FROM change WHERE from_place IS DISTINCT FROM to_place) AS "placesChanged",
        (SELECT json_agg(json_build_object('packId', pack_id, 'figure', figure, 'load', nullif(load, 0), 'unit', unit,
          'from', CASE WHEN from_place IS NOT NULL THEN json_build_object('value', from_value, 'uncertainty', from_uncertainty, 'place', from_place) END,
          'to', CASE WHEN to_place IS NOT NULL THEN json_build_object('value', to_value, 'uncertainty', to_uncertainty, 'place', to_place) END)
          ORDER BY ${ORDER}) FROM listed) AS listed`;
    const [{ listed, ...counts }] = rows as [(typeof rows)[number]];
    return { ...counts, standingChanges: listed ?? [] };
  }
}

/** How runs fared beside what holds now; withdrawn ones are left out. */
const outcomesOf = (id: string) => Prisma.sql`
  SELECT run.id::text COLLATE "C" AS "runId", run.review_state AS review, evaluation.verdict AS "from", item.verdict AS "to",
    item.failed_rules AS "failedRules"
  FROM reevaluation_run AS item
  JOIN run ON run.id = item.run_id
  JOIN evaluation ON evaluation.id = run.current_evaluation_id
  WHERE item.reevaluation_id = ${id}::uuid AND item.outcome IN ('evaluated', 'failed') AND run.review_state <> 'withdrawn'`;

/** An accepted run that conforms no more, or could not be evaluated. */
const IS_REVOKED = Prisma.sql`(review = 'accepted' AND coalesce("to", 'nonconforming') = 'nonconforming')`;

/** Places within classes of chemistry and cells in series, from 1; equal values share one. */
const placedOf = (standings: Prisma.Sql) => Prisma.sql`
  SELECT pack_id, figure, load, unit, value, uncertainty,
    rank() OVER (PARTITION BY figure, load, chemistry, series ORDER BY sort_value DESC)::int AS place
  FROM (${standings}) AS standing`;

const ORDER = Prisma.sql`abs(from_place - to_place) DESC NULLS FIRST,
  CASE WHEN from_value <> 0 AND to_value IS NOT NULL THEN abs(to_value / from_value - 1) ELSE 0 END DESC,
  concat(figure, ' ', coalesce(nullif(load, 0)::text, 'null'), ' ', pack_id) COLLATE "C"`;
