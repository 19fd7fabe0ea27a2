import { setTimeout as delay } from "node:timers/promises";
import { afterAll, beforeAll, expect, it } from "@jest/globals";
import { Client } from "pg";
import { ADVISORY_LOCKS } from "../../src/platform/database/advisory-locks.js";
import { Database } from "../../src/platform/database/database.js";
import { ReadsFirst, readsFirst } from "../../src/platform/process/reads-first.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { uploadCase } from "../support/uploads.js";

const CONNECTIONS = 6;

let app: TestApp;
beforeAll(async () => {
  app = await startTestApp({ databaseConnections: CONNECTIONS });
});
afterAll(() => app.close());

it("a read is answered while more changes than there are connections wait for one lock", async () => {
  const tester = await app.signIn("anna");
  const holder = new Client({ connectionString: app.database.connectionString });
  await holder.connect();
  await holder.query("SELECT pg_advisory_lock($1)", [ADVISORY_LOCKS.addToAuditLog]);
  let answered = 0;
  const changes = Array.from({ length: 2 * CONNECTIONS }, async (_, number) => {
    const payload = { label: `key ${number}`, scopes: ["read"] };
    const { statusCode } = await app.inject({ method: "POST", url: "/v1/keys", payload, headers: tester });
    answered++;
    return statusCode;
  });
  const { pool } = app.nest.get(Database);
  // All that may wait with a connection in hand do, and the others wait for one.
  while (pool.awaited + answered === 0) await delay(10);
  for (const url of ["/v1/packs", "/v1/rankings/power-10s", "/v1/runs"]) {
    expect([url, (await app.inject({ url })).statusCode]).toEqual([url, 200]);
  }
  const payload = { query: "{ packs(first: 1) { totalCount } }" };
  expect((await app.inject({ method: "POST", url: "/graphql", payload })).json()).toEqual({
    data: { packs: { totalCount: 0 } },
  });
  expect(answered).toBe(0);
  await holder.end();
  expect(new Set(await Promise.all(changes))).toEqual(new Set([201]));
});

it("an upload gives way to reads", async () => {
  const tester = await app.signIn("bert");
  const seen: string[] = [];
  const { giveWay, noteRead } = ReadsFirst.prototype;
  Object.assign(readsFirst, {
    giveWay(patienceMs: number) {
      seen.push("upload");
      return giveWay.call(readsFirst, patienceMs);
    },
    noteRead() {
      seen.push("read");
      noteRead.call(readsFirst);
    },
  });
  try {
    await uploadCase(app, tester, "Waiting", "current-offset");
    expect(seen).toEqual(["upload"]);
    await app.inject({ url: "/v1/packs" });
    await app.graphql("{ packs(first: 1) { totalCount } }");
    expect(seen.filter((one) => one === "read")).toHaveLength(2);
  } finally {
    for (const name of ["giveWay", "noteRead"]) Reflect.deleteProperty(readsFirst, name);
  }
});
