import { setTimeout as delay } from "node:timers/promises";
import { afterAll, beforeAll, expect, it } from "@jest/globals";
import type { Pool } from "pg";
import { cloneDatabase, type TestDatabase } from "../../../../test/support/database.js";
import { asRead } from "../reads/read-limit.js";
import { makePool } from "./pool.js";

// What does not outlast a transaction of a pooler: PgBouncer, "SQL feature map for pooling modes".

let database: TestDatabase;
let pool: Pool;
beforeAll(async () => {
  database = await cloneDatabase();
  pool = makePool(database.connectionString, 1, { readSeconds: 7, isPooled: true });
});
afterAll(async () => {
  await pool.end();
  await database.drop();
});

const LIMIT = "select current_setting('statement_timeout') as limit";
const limit = async () => (await pool.query<{ limit: string }>(LIMIT)).rows[0]?.limit;

it("the time limit of a public read ends with its transaction, and nothing else has one", async () => {
  expect([await asRead(limit), await limit()]).toEqual(["7s", "0"]);
  const inTransaction = await asRead(async () => {
    const client = await pool.connect();
    await client.query("BEGIN");
    const { rows } = await client.query<{ limit: string }>(LIMIT);
    await client.query("COMMIT");
    client.release();
    return rows[0]?.limit;
  });
  expect([inTransaction, await limit()]).toEqual(["7s", "0"]);
});

it("a read that takes too long is ended, and its connection goes on outside of any transaction", async () => {
  const short = makePool(database.connectionString, 1, { readSeconds: 0.05, isPooled: true });
  const client = await short.connect();
  // SQLSTATE 57014, query_canceled: PostgreSQL documentation, appendix A.
  await expect(asRead(() => client.query("select pg_sleep(5)"))).rejects.toMatchObject({ code: "57014" });
  // A transaction that failed would take nothing more, and one that is open has one time.
  const now = async () => (await client.query<{ now: Date }>("select now()")).rows[0]?.now.getTime() ?? 0;
  const first = await now();
  await delay(5);
  expect(await now()).toBeGreaterThan(first);
  client.release();
  await short.end();
});

it("no statement is kept prepared, and no setting or lock is left on the connection", async () => {
  for (let n = 0; n < 3; n++) await pool.query({ name: "one", text: "select $1::int", values: [n] });
  const { rows } = await pool.query(`select (select count(*)::int from pg_prepared_statements) as prepared,
    (select count(*)::int from pg_settings where source = 'session' and name like 'tcp_keep%') as settings,
    (select count(*)::int from pg_locks where locktype = 'advisory' and pid = pg_backend_pid()) as locks`);
  expect(rows).toEqual([{ prepared: 0, settings: 0, locks: 0 }]);
});
