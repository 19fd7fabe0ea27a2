import type { Client } from "pg";
import { ADVISORY_LOCKS } from "../../platform/database/advisory-locks.js";
import { singleConnection } from "../../platform/database/connections/single-connection.js";
import type { ChangeMark } from "../changes/changes.service.js";
import { SINCE_CHANGE, type SinceChange } from "./since-change.js";
import { type DatasetTable, type Row, statementOf } from "./table.js";

/** Rows that are read at a time. */
const ROWS_AT_ONCE = 2_000;
/** The same of rows that stand for several. */
const WHOLES_AT_ONCE = 50;

/** A month: its name, such as 2026-05, its first instant and that of the next one. */
export interface Month {
  readonly name: string;
  readonly from: string;
  readonly to: string;
}

/** Reads the record as it is at one instant, on a connection of its own. */
export class SnapshotReader {
  private constructor(private readonly client: Client) {}

  /** Does work with the record of one instant, when no other process is at the same any more. */
  static async read(connectionString: string, work: (reader: SnapshotReader) => Promise<void>): Promise<void> {
    const client = singleConnection({ connectionString });
    await client.connect();
    try {
      await client.query("SELECT pg_advisory_lock($1::bigint)", [ADVISORY_LOCKS.makeSnapshot]);
      await client.query("BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY");
      await work(new SnapshotReader(client));
    } finally {
      await client.end();
    }
  }

  /** The newest change that this state of the record has, and which record it is. */
  async state(): Promise<{ recordId: string; newest: ChangeMark }> {
    const { rows } = await this.client.query<ChangeMark & { recordId: string }>(`
      SELECT record_identity.id::text AS "recordId", coalesce(position, 0)::float8 AS position,
        coalesce(extract(epoch FROM changed_at) * 1000, 0)::float8 AS "changedAtMs"
      FROM record_identity LEFT JOIN public_change ON position = (SELECT max(position) FROM public_change)`);
    const { recordId, ...newest } = rows[0] as ChangeMark & { recordId: string };
    return { recordId, newest };
  }

  /** What became of the record since a change. */
  async since({ position, changedAtMs }: ChangeMark): Promise<SinceChange> {
    const { rows } = await this.client.query<SinceChange>(SINCE_CHANGE, [position, changedAtMs]);
    return rows[0] as SinceChange;
  }

  /** Names of the months that have subjects of a table. */
  async months({ subject }: DatasetTable): Promise<string[]> {
    const { rows } = await this.client.query<{ month: string }>(
      `SELECT DISTINCT to_char(created_at AT TIME ZONE 'UTC', 'YYYY-MM') AS month FROM ${subject}`,
    );
    return rows.map(({ month }) => month);
  }

  /** Those in which a subject of a table changed behind a position. */
  async changedMonths({ subject, changedBy }: DatasetTable, position: number): Promise<string[]> {
    const { rows } = await this.client.query<{ month: string }>(
      `SELECT DISTINCT to_char(subject.created_at AT TIME ZONE 'UTC', 'YYYY-MM') AS month
       FROM public_change AS change JOIN ${subject} AS subject ON subject.id = change.subject_id
       WHERE change.position > $1::float8::bigint AND change.kind = $2`,
      [position, changedBy],
    );
    return rows.map(({ month }) => month);
  }

  /** The rows of a table of one month, some at a time. */
  async *rows(table: DatasetTable, { from, to }: Month): AsyncGenerator<readonly Row[]> {
    await this.client.query(`DECLARE part NO SCROLL CURSOR FOR ${statementOf(table)}`, [from, to]);
    const { rowsOf } = table;
    for (;;) {
      const { rows } = await this.client.query<Row>(`FETCH ${rowsOf ? WHOLES_AT_ONCE : ROWS_AT_ONCE} FROM part`);
      if (rows.length === 0) break;
      yield rowsOf ? rows.flatMap(rowsOf) : rows;
    }
    await this.client.query("CLOSE part");
  }
}

/** @param name year and month, such as 2026-05 */
export function monthOf(name: string): Month {
  const [year, month] = name.split("-").map(Number) as [number, number];
  const from = new Date(Date.UTC(year, month - 1, 1)).toISOString();
  return { name, from, to: new Date(Date.UTC(year, month, 1)).toISOString() };
}
