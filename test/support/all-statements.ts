import type { PoolClient } from "pg";
import { IN_UTC } from "../../src/platform/database/connections/utc.js";
import type { TestApp } from "./app.js";

/** What the service sends to the database on any of its pooled connections while something is done, in order; not what a new connection is told. */
export async function allStatementsOf(app: TestApp, work: () => Promise<unknown>): Promise<string[]> {
  const { pool } = app.database;
  const sent: string[] = [];
  const plain = new Map<PoolClient, PoolClient["query"]>();
  const record = (client: PoolClient) => {
    if (plain.has(client)) return;
    const query = client.query;
    plain.set(client, query);
    client.query = ((...args: unknown[]) => {
      sent.push(typeof args[0] === "string" ? args[0] : (args[0] as { text: string }).text);
      return (query as (...sent: unknown[]) => unknown).apply(client, args);
    }) as typeof query;
  };
  pool.on("acquire", record);
  try {
    await work();
  } finally {
    pool.off("acquire", record);
    for (const [client, query] of plain) client.query = query;
  }
  return sent.filter((text) => text !== IN_UTC);
}
