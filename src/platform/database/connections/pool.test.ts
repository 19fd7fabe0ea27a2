import { afterAll, beforeAll, expect, it } from "@jest/globals";
import type { Pool, PoolClient } from "pg";
import { cloneDatabase, type TestDatabase } from "../../../../test/support/database.js";
import { isDatabaseUnavailable } from "../errors.js";
import { asRead, noRead } from "../reads/read-limit.js";
import { Places } from "./places.js";
import { makePool } from "./pool.js";

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
  expect([three.totalCount, three.idleCount, three.awaited]).toEqual([3, 1, 1]);
  // Giving back twice gives one place.
  const [first, second] = changing as [PoolClient, PoolClient];
  const release = first.release;
  release();
  expect(() => release()).toThrow();
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

it("says of a place that did not become free in time what it says of a connection", async () => {
  const places = new Places(1, 20);
  const giveBack = await places.take();
  const failure = await places.take().catch((error: unknown) => error);
  expect(isDatabaseUnavailable(failure)).toBe(true);
  expect(places.awaited).toBe(0);
  giveBack();
  (await places.take())();
});
