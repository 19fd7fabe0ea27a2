import { afterAll, beforeAll, expect, it } from "@jest/globals";
import type { Pool, PoolClient } from "pg";
import { cloneDatabase, type TestDatabase } from "../../../test/support/database.js";
import { makePool } from "./pool.js";
import { asRead, noRead } from "./read-limit.js";

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
