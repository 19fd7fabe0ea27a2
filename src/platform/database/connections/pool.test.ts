import { afterAll, beforeAll, expect, it } from "@jest/globals";
import type { Pool, PoolClient } from "pg";
import { cloneDatabase, type TestDatabase } from "../../../../test/support/database.js";
import { isDatabaseUnavailable } from "../errors.js";
import { asPreparation, asRead, noRead } from "../reads/read-limit.js";
import { LimitingPool, makePool } from "./pool.js";

let database: TestDatabase;
let pool: Pool;
beforeAll(async () => {
  database = await cloneDatabase();
  pool = makePool(database.connectionString, 1, { readSeconds: 7 });
});
afterAll(async () => {
  await pool.end();
  await database.drop();
});

const limit = async () => (await pool.query("SHOW statement_timeout")).rows[0].statement_timeout as string;

it("limits the statements of reads alone, on one and the same connection", async () => {
  expect(await limit()).toBe("0");
  expect(await asRead(limit)).toBe("7s");
  expect(await limit()).toBe("0");
  const changing = asRead(async () => {
    noRead();
    return limit();
  });
  expect(await changing).toBe("0");
  const both = await Promise.all([asRead(limit), limit(), asRead(limit), limit()]);
  expect(both).toEqual(["7s", "0", "7s", "0"]);
});

it("takes a connection back that is given back twice, and leaves it to who has it then", async () => {
  const release = await new Promise<() => void>((resolve, reject) => {
    pool.connect((error, _, given) => (error ? reject(error) : resolve(given)));
  });
  release();
  const next: PoolClient = await pool.connect();
  release();
  expect([pool.totalCount, pool.idleCount]).toEqual([1, 0]);
  next.release();
});

it("keeps a third of its connections for reads, which wait for no change", async () => {
  const three = makePool(database.connectionString, 3);
  const changing = [await three.connect(), await three.connect()];
  const waiting = three.connect();
  expect(await asRead(async () => (await three.query("SELECT 1 AS one")).rows)).toEqual([{ one: 1 }]);
  expect([three.counted, three.awaited]).toEqual([{ all: 3, idle: 1 }, 1]);
  const [first, second] = changing as [PoolClient, PoolClient];
  first.release();
  const third = await waiting;
  const fourth = three.connect();
  expect(three.awaited).toBe(1);
  second.release();
  for (const client of [third, await fourth]) client.release();
  // Reads may have them all.
  const reading = await asRead(() => Promise.all([three.connect(), three.connect(), three.connect()]));
  for (const client of reading) client.release();
  await three.end();
});

it("gives a place back where no connection could be made", async () => {
  const none = makePool("postgresql://packledger@127.0.0.1:1/none", 1);
  for (let i = 0; i < 3; i++) await expect(none.query("SELECT 1")).rejects.toThrow("ECONNREFUSED");
  expect(none.awaited).toBe(0);
  await none.end();
});

it("says that the database is away where no connection becomes free in time", async () => {
  const { connectionString } = database;
  const three = new LimitingPool({ connectionString, connections: 3, readMs: 7_000, connectMs: 1_000 });
  const all = await asRead(() => Promise.all([three.connect(), three.connect(), three.connect()]));
  const late = [three.connect(), asRead(() => three.connect())];
  for (const result of await Promise.allSettled(late)) {
    expect(isDatabaseUnavailable((result as PromiseRejectedResult).reason)).toBe(true);
  }
  expect(three.awaited).toBe(0);
  for (const client of all) client.release();
  await three.end();
});

it("leaves the limits of connections as they are while reads and changes find their own free", async () => {
  const three = makePool(database.connectionString, 3, { readSeconds: 7 });
  const statements: string[] = [];
  three.on("connect", (client) => {
    const { query } = client;
    client.query = ((...all: Parameters<typeof query>) => {
      statements.push(String(all[0]));
      return query.apply(client, all);
    }) as typeof query;
  });
  let uses = 0;
  three.on("acquire", () => uses++);
  const show = async () => (await three.query("SHOW statement_timeout")).rows[0].statement_timeout as string;
  const limits: string[] = [];
  for (let i = 0; i < 5; i++) limits.push(await asRead(show), await show(), await asPreparation(show));
  expect(limits).toEqual(Array.from({ length: 5 }, () => ["7s", "0", "0"]).flat());
  expect(uses).toBe(15);
  expect(statements.filter((text) => text.includes("statement_timeout ="))).toEqual(["set statement_timeout = 7000"]);
  // What is prepared for reads waits for no change either.
  const changing = [await three.connect(), await three.connect()];
  expect(await asPreparation(show)).toBe("0");
  expect(await asRead(show)).toBe("7s");
  for (const client of changing) client.release();
  await three.end();
});
