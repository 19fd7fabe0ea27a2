import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { Client } from "pg";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";
import { PACK, productOf } from "../../../../test/support/facts.js";

let app: TestApp;
let holder: Client;
beforeAll(async () => {
  app = await startTestApp({ readSeconds: 0.2 });
  holder = new Client({ connectionString: app.database.connectionString });
  await holder.connect();
});
afterAll(async () => {
  await holder.end();
  await app.close();
});

/** Does something while every statement that needs the packs takes as long as this does. */
async function whilePacksAreSlow<T>(work: () => Promise<T>): Promise<T> {
  await holder.query("BEGIN; LOCK TABLE pack IN ACCESS EXCLUSIVE MODE");
  try {
    return await work();
  } finally {
    await holder.query("ROLLBACK");
  }
}

/** Resolves when so many statements wait for the packs. */
async function untilWaiting(count: number): Promise<void> {
  const waiting = "SELECT FROM pg_locks WHERE NOT granted AND relation = 'pack'::regclass";
  while ((await holder.query(waiting)).rowCount !== count) await new Promise(setImmediate);
}

describe("a statement that takes too long", () => {
  it.each(["/v1/packs", "/v1/runs", "/v1/classes"])("ends a read: %s", async (url) => {
    const answer = await whilePacksAreSlow(() => app.inject({ method: "GET", url }));
    expect([answer.statusCode, answer.json().code]).toEqual([503, "read-time-limit"]);
    expect(answer.headers["retry-after"]).toMatch(/^\d+$/);
    expect((await app.inject({ method: "GET", url })).statusCode).toBe(200);
  });

  it("ends a query of GraphQL", async () => {
    const query = "{ packs { edges { node { id } } } }";
    const { status, body } = await whilePacksAreSlow(() => app.graphql(query));
    expect([status, body.errors?.[0]?.extensions.code]).toEqual([503, "read-time-limit"]);
    expect((await app.graphql(query)).status).toBe(200);
  });

  it("does not end a change", async () => {
    const headers = await app.signIn("rita");
    const payload = productOf("Rest", PACK);
    const answer = await whilePacksAreSlow(async () => {
      const change = app.inject({ method: "POST", url: "/v1/packs", headers, payload }).then((answered) => answered);
      await untilWaiting(1);
      // It begins after the change and waits for the limit: the change has waited for longer.
      const read = await app.inject({ method: "GET", url: "/v1/packs" });
      expect(read.json().code).toBe("read-time-limit");
      return [change];
    }).then(([change]) => change);
    expect(answer?.statusCode).toBe(201);
  });
});
