import { AsyncLocalStorage } from "node:async_hooks";
import type { TestApp } from "./app.js";

/** A statement that the service sent to the database, and how many rows came back. */
export interface Statement {
  readonly text: string;
  /** The table read from: that of the first `FROM` outside all brackets, else the first within. */
  readonly table: string;
  readonly rows: number;
}

/** The statements that the service sends for something that is done, outside transactions: those of jobs that run beside it do not count. */
export async function statementsOf(app: TestApp, work: () => Promise<unknown>): Promise<Statement[]> {
  const { pool } = app.database;
  const query = pool.query;
  const statements: Statement[] = [];
  const ours = new AsyncLocalStorage<true>();
  const recording = async (...args: unknown[]) => {
    const isOurs = ours.getStore();
    const result = await (query as (...sent: unknown[]) => Promise<{ rows: unknown[] }>).apply(pool, args);
    const text = typeof args[0] === "string" ? args[0] : (args[0] as { text: string }).text;
    if (isOurs)
      statements.push({ text, table: tableIn(withoutBrackets(text)) || tableIn(text), rows: result.rows.length });
    return result;
  };
  pool.query = recording as typeof query;
  try {
    await ours.run(true, work);
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
