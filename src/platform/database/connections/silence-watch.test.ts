import { setTimeout as delay } from "node:timers/promises";
import { afterAll, afterEach, beforeAll, beforeEach, expect, it } from "@jest/globals";
import { Pool } from "pg";
import { cloneDatabase, type TestDatabase } from "../../../../test/support/database.js";
import { FaultyWay } from "../../../../test/support/faulty-way.js";
import { isDatabaseUnavailable } from "../errors.js";
import { SilenceWatch } from "./silence-watch.js";

let database: TestDatabase;
let way: FaultyWay;
let pool: Pool;
let watch: SilenceWatch;
beforeAll(async () => {
  database = await cloneDatabase();
});
afterAll(() => database.drop());
beforeEach(async () => {
  way = await FaultyWay.to(database.connectionString);
  // However busy the machine is, the database answers in less.
  watch = new SilenceWatch(way.connectionString, { lookMs: 50, silentMs: 300, patienceMs: 2_000 });
  const { connectionString } = way;
  pool = new Pool({
    connectionString,
    max: 2,
    verify: (client, done) => void watch.add(client).then(() => done(), done),
  });
  pool.on("error", () => undefined);
  pool.on("remove", (client) => watch.remove(client));
});
afterEach(async () => {
  await pool.end();
  await watch.stop();
  await way.close();
});

it("a statement on a connection that went silent fails as one of a database that is away, and the next one is answered", async () => {
  await pool.query("select 1");
  way.silence();
  const failure = await pool.query("select 2").then(
    () => null,
    (error: unknown) => error,
  );
  expect(isDatabaseUnavailable(failure)).toBe(true);
  expect((await pool.query("select 3 as three")).rows).toEqual([{ three: 3 }]);
});

it("the same while nobody answers at all", async () => {
  await pool.query("select 1");
  way.goAway();
  await expect(pool.query("select 2")).rejects.toThrow("no answer came");
  way.restore();
  expect((await pool.query("select 3 as three")).rows).toEqual([{ three: 3 }]);
});

it("a statement at which the database works is left alone, however long it takes", async () => {
  expect((await pool.query("select 4 as four, pg_sleep(1.5)")).rows).toMatchObject([{ four: 4 }]);
});

it("a connection that waits for nothing is left alone", async () => {
  const { rows: before } = await pool.query("select pg_backend_pid() as pid");
  await delay(800);
  expect((await pool.query("select pg_backend_pid() as pid")).rows).toEqual(before);
});
