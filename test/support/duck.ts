import { DuckDBInstance } from "@duckdb/node-api";

export type DuckRow = Readonly<Record<string, unknown>>;

/** Asks DuckDB, an engine that knows nothing of this project, and returns what the last statement gives. */
export async function askDuck(...statements: readonly string[]): Promise<DuckRow[]> {
  const instance = await DuckDBInstance.create(":memory:");
  const connection = await instance.connect();
  try {
    for (const statement of statements.slice(0, -1)) await connection.run(statement);
    const reader = await connection.runAndReadAll(statements.at(-1) as string);
    return reader.getRowObjectsJS() as DuckRow[];
  } finally {
    connection.closeSync();
    instance.closeSync();
  }
}
