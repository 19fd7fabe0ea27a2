import type { TestApp } from "./app.js";

/** A statement that the service sent to the database, and how many rows came back. */
export interface Statement {
  readonly text: string;
  /** The table read from: that of the first `FROM` outside all brackets, else the first within. */
  readonly table: string;
  readonly rows: number;
}

/** The statements that the service sends while something is done, outside transactions; sessions and limits apart. */
export async function statementsOf(app: TestApp, work: () => Promise<unknown>): Promise<Statement[]> {
  const { pool } = app.database;
  const query = pool.query;
  const statements: Statement[] = [];
  const recording = async (...args: unknown[]) => {
    const result = await (query as (...sent: unknown[]) => Promise<{ rows: unknown[] }>).apply(pool, args);
    const text = typeof args[0] === "string" ? args[0] : (args[0] as { text: string }).text;
    statements.push({ text, table: tableIn(withoutBrackets(text)) || tableIn(text), rows: result.rows.length });
    return result;
  };
  pool.query = recording as typeof query;
  try {
    await work();
  } finally {
    pool.query = query;
  }
  return statements;
}

const tableIn = (text: string): string => /\bfrom\s+(?:"?public"?\.)?"?(\w+)/i.exec(text)?.[1] ?? "";

function withoutBrackets(text: string): string {
  const less = text.replace(/\([^()]*\)/g, " ");
  return less === text ? text : withoutBrackets(less);
}
