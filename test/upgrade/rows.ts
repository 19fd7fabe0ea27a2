import type { Client } from "pg";

/** The rows of every table of a record, each as an object of its columns. */
export type Rows = ReadonlyMap<string, readonly Readonly<Record<string, unknown>>[]>;

export async function rowsOf(client: Client): Promise<Rows> {
  const { rows: tables } = await client.query<{ name: string }>(
    "SELECT tablename AS name FROM pg_tables WHERE schemaname = 'public' AND tablename <> '_prisma_migrations' ORDER BY 1",
  );
  const found = new Map<string, Record<string, unknown>[]>();
  for (const { name } of tables) {
    const { rows } = await client.query<{ row: Record<string, unknown> }>(`SELECT to_jsonb(t) AS row FROM "${name}" t`);
    found.set(
      name,
      rows.map(({ row }) => row),
    );
  }
  return found;
}

/**
 * What of a record is not in a later one as it was: of each table the columns whose values are gone, or the whole table; a column with its number
 * of rows.
 */
export function goneFrom(before: Rows, after: Rows): string[] {
  const gone: string[] = [];
  for (const [table, rows] of before) {
    const later = after.get(table);
    if (!later) {
      if (rows.length > 0) gone.push(table);
      continue;
    }
    if (later.length < rows.length) gone.push(`${table}: ${rows.length - later.length} rows`);
    for (const column of Object.keys(rows[0] ?? {})) {
      const missing = without(values(rows, column), values(later, column));
      if (missing > 0) gone.push(`${table}.${column}: ${missing}`);
    }
  }
  return gone;
}

const values = (rows: readonly Readonly<Record<string, unknown>>[], column: string): string[] =>
  rows.map((row) => JSON.stringify(row[column]));

/** How many of some values others do not hold as often. */
function without(some: readonly string[], others: readonly string[]): number {
  const left = new Map<string, number>();
  for (const one of others) left.set(one, (left.get(one) ?? 0) + 1);
  let missing = 0;
  for (const one of some) {
    const times = left.get(one) ?? 0;
    if (times === 0) missing++;
    left.set(one, times - 1);
  }
  return missing;
}
