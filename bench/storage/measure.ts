import type { Client } from "pg";

type Cells = readonly (string | number)[];

/** A row's header with its pointer in the page, bytes (PostgreSQL, "Database Page Layout"). */
const ROW = 24 + 4;

/** Bytes a run by kind, mean and median over all runs. */
export async function bytesByKind(client: Client): Promise<Cells[]> {
  const tables = await tablesOfRuns(client);
  const found: Cells[] = [];
  for (const { table, of } of tables) {
    for (const [name, columns] of await partsOf(client, table)) {
      const size = columns.map((column) => `coalesce(pg_column_size("${column}"), 0)`).join(" + ");
      const { rows } = await client.query<{ mean: number; median: number }>(
        `WITH one AS (SELECT coalesce((SELECT sum(${name === table ? ROW : 0} + ${size}) FROM "${table}" AS part WHERE ${of}), 0)::float AS bytes FROM run)
         SELECT avg(bytes) AS mean, percentile_cont(0.5) WITHIN GROUP (ORDER BY bytes) AS median FROM one`,
      );
      const [row] = rows;
      if (row && row.mean >= 1) found.push([name, Math.round(row.mean), Math.round(row.median)]);
    }
  }
  const sum = (place: number) => found.reduce((all, cells) => all + Number(cells[place]), 0);
  return [...found.toSorted((a, b) => Number(b[1]) - Number(a[1])), ["sum", sum(1), sum(2)]];
}

/** How the rows of each table belong to a run. */
async function tablesOfRuns(client: Client): Promise<{ table: string; of: string }[]> {
  const { rows } = await client.query<{ table: string; columns: string[] }>(
    `SELECT relname AS table, array_agg(attname::text) AS columns FROM pg_class JOIN pg_attribute ON attrelid = pg_class.oid AND attnum > 0 AND NOT attisdropped
     WHERE relnamespace = 'public'::regnamespace AND relkind = 'r' GROUP BY relname ORDER BY relname`,
  );
  return rows.flatMap(({ table, columns }) => {
    if (table === "run") return [{ table, of: "part.id = run.id" }];
    if (table === "log" || table === "log_chunk") return [{ table, of: "part.sha256 = run.log_sha256" }];
    if (columns.includes("run_id")) return [{ table, of: "part.run_id = run.id" }];
    const ofEvaluation = "part.evaluation_id IN (SELECT id FROM evaluation WHERE run_id = run.id)";
    return columns.includes("evaluation_id") ? [{ table, of: ofEvaluation }] : [];
  });
}

/** The columns of a table's rows; budgets apart from the figures that they are of. */
async function partsOf(client: Client, table: string): Promise<[name: string, columns: string[]][]> {
  const { rows } = await client.query<{ column: string }>(
    `SELECT attname AS column FROM pg_attribute WHERE attrelid = '"${table}"'::regclass AND attnum > 0 AND NOT attisdropped`,
  );
  const columns = rows.map(({ column }) => column);
  if (table !== "figure") return [[table, columns]];
  return [
    ["figure", columns.filter((column) => column !== "budget")],
    ["figure, budgets", ["budget"]],
  ];
}

/** Bytes a run of every table on disk. */
export async function bytesByTable(client: Client): Promise<Cells[]> {
  const { rows } = await client.query<{ table: string; rows: number; toast: number; indexes: number }>(
    `SELECT relname AS table, pg_relation_size(oid) / runs AS rows,
       (pg_table_size(oid) - pg_relation_size(oid)) / runs AS toast, pg_indexes_size(oid) / runs AS indexes
     FROM pg_class, (SELECT count(*)::float AS runs FROM run) AS counted
     WHERE relnamespace = 'public'::regnamespace AND relkind = 'r' ORDER BY pg_total_relation_size(oid) DESC`,
  );
  const listed = rows.map((row): Cells => [row.table, row.rows, row.toast, row.indexes].map(rounded));
  const sum = (place: number) => listed.reduce((all, cells) => all + Number(cells[place]), 0);
  return [...listed.slice(0, 24), ["all tables", sum(1), sum(2), sum(3)]];
}

const rounded = (cell: string | number) => (typeof cell === "number" ? Math.round(cell) : cell);

/** Bytes a sample of the traces, by their number of channels. */
export async function bytesOfSamples(client: Client): Promise<Cells[]> {
  const { rows } = await client.query<{ channels: number; traces: number; mean: number; largest: number }>(
    `SELECT 3 + (columns @> '[{"channel": "temperature"}]')::int AS channels, count(*)::int AS traces,
       sum(octet_length(data))::float / sum(samples) AS mean, max(octet_length(data)::float / samples) AS largest
     FROM trace JOIN evaluation ON evaluation.id = evaluation_id GROUP BY 1 ORDER BY 1`,
  );
  return rows.map(({ channels, traces, mean, largest }) => [channels, traces, mean.toFixed(2), largest.toFixed(2)]);
}
