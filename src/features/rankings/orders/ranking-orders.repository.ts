import { Injectable } from "@nestjs/common";
import type { PoolClient } from "pg";
import { FigureRankings, type RankingChange } from "../../../core/ranking/figure-rankings.js";
import { COVERAGE_FACTOR } from "../../../core/uncertainty/coverage-factor.js";
import { Database } from "../../../platform/database/database.js";

/** The rankings by one figure under one protocol. */
export interface RankedFigureKey {
  readonly protocolKey: string;
  readonly figure: string;
}

/** What has changed since a revision. */
export interface RankingChanges {
  readonly revision: number;
  /** Null where so much has changed that reading all anew is cheaper. */
  readonly changes: readonly RankingChange[] | null;
}

/** Most ties that a standing names, the nearest ones. */
const RULES = { k: COVERAGE_FACTOR, tiesNamed: 50 };
/** Rows that are fetched at once, so that others have their turns between. */
const ROWS_AT_ONCE = 5_000;
/** Most packs that are read one by one. */
const MAX_CHANGED_PACKS = 2_000;

const REVISION = "coalesce((SELECT revision FROM ranking_revision WHERE protocol_key = $1), 0)::float8";

const FACTS = `pack.id::text, pack.chemistry, pack.series, pack.rated_capacity_mah AS "ratedCapacityMah",
  pack.mass_grams AS "massGrams", pack.connector, pack.maker`;

const CHANGES = `
  WITH changed AS (
    SELECT pack_id FROM standing_history WHERE protocol_key = $1 AND figure = $2 AND from_revision > $3
    UNION
    SELECT pack_id FROM standing_history
    WHERE protocol_key = $1 AND figure = $2 AND to_revision > $3 AND to_revision < 9223372036854775807
    LIMIT ${MAX_CHANGED_PACKS + 1}
  )
  SELECT ${REVISION} AS revision, (
    SELECT json_agg(json_build_object('id', changed.pack_id,
      'facts', (SELECT to_json(facts) FROM (SELECT ${FACTS} FROM pack WHERE pack.id = changed.pack_id) AS facts),
      'standings', ARRAY(
        SELECT json_build_object('load', load, 'value', sort_value, 'uncertainty', uncertainty, 'established', established)
        FROM standing WHERE pack_id = changed.pack_id AND protocol_key = $1 AND figure = $2)))
    FROM changed
  ) AS changes`;

type PackColumns = readonly [string, string, number, number, number | null, string | null, string];
type StandingColumns = readonly [
  packId: string,
  load: number,
  value: number,
  uncertainty: number,
  established: boolean,
];

/** Reads whole rankings into memory, and what changes in them. */
@Injectable()
export class RankingOrdersRepository {
  constructor(private readonly database: Database) {}

  /** The rankings as they stand now. */
  load(ranked: RankedFigureKey): Promise<FigureRankings> {
    return this.loadFrom(ranked, {
      from: "standing AS state",
      values: [],
    });
  }

  /** The rankings as they stood just before an instant. */
  loadAsOf(ranked: RankedFigureKey, instant: Date): Promise<FigureRankings> {
    return this.loadFrom(ranked, {
      from: "standing_history AS state",
      condition: "AND state.valid_from < $3 AND state.valid_to >= $3",
      values: [instant],
    });
  }

  /** What has changed since a revision, in one statement. */
  async changesSince({ protocolKey, figure }: RankedFigureKey, revision: number): Promise<RankingChanges> {
    const values = [protocolKey, figure, revision];
    const rows = await this.database.prepared<RankingChanges>("ranking-changes", CHANGES, values);
    const [{ revision: now, changes }] = rows as [RankingChanges];
    return { revision: now, changes: (changes?.length ?? 0) > MAX_CHANGED_PACKS ? null : (changes ?? []) };
  }

  private async loadFrom(
    { protocolKey, figure }: RankedFigureKey,
    source: { from: string; condition?: string; values: readonly unknown[] },
  ): Promise<FigureRankings> {
    const client = await this.database.pool.connect();
    try {
      await client.query("BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY");
      const { rows } = await client.query<{ revision: number }>(`SELECT ${REVISION} AS revision`, [protocolKey]);
      const rankings = new FigureRankings(rows[0]?.revision ?? 0, RULES);
      const members = `FROM ${source.from} WHERE state.protocol_key = $1 AND state.figure = $2 ${source.condition ?? ""}`;
      const values = [protocolKey, figure, ...source.values];
      const packs = `SELECT ${FACTS} FROM pack WHERE id IN (SELECT state.pack_id ${members})`;
      await eachRow<PackColumns>(client, packs, values, (columns) => {
        const [id, chemistry, series, ratedCapacityMah, massGrams, connector, maker] = columns;
        rankings.packs.put({ id, chemistry, series, ratedCapacityMah, massGrams, connector, maker });
      });
      const columns = "state.pack_id::text, state.load, state.sort_value, state.uncertainty, state.established";
      const standings = `SELECT ${columns} ${members} ORDER BY state.load, state.sort_value DESC, state.pack_id`;
      await eachRow<StandingColumns>(client, standings, values, ([id, load, value, uncertainty, established]) => {
        rankings.append(rankings.packs.numberOf(id), { load, value, uncertainty, established });
      });
      await client.query("COMMIT");
      client.release();
      return rankings;
    } catch (error) {
      client.release(true);
      throw error;
    }
  }
}

/** Reads the rows of a statement through a cursor, some at a time. */
async function eachRow<Row extends readonly unknown[]>(
  client: PoolClient,
  text: string,
  values: readonly unknown[],
  take: (row: Row) => void,
): Promise<void> {
  await client.query(`DECLARE rows NO SCROLL CURSOR FOR ${text}`, [...values]);
  for (let fetched = ROWS_AT_ONCE; fetched === ROWS_AT_ONCE; ) {
    const { rows } = await client.query({ text: `FETCH ${ROWS_AT_ONCE} FROM rows`, rowMode: "array" });
    for (const row of rows) take(row as unknown as Row);
    fetched = rows.length;
  }
  await client.query("CLOSE rows");
}
