import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { parseList } from "structured-headers";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { uploadCase } from "../../../test/support/uploads.js";
import { Limits } from "./limits.js";
import { isLoopback } from "./loopback.js";

let app: TestApp;
beforeAll(async () => {
  app = await startTestApp({
    addressRequestsPerMinute: 5,
    accountRequestsPerMinute: 7,
    keyRequestsPerMinute: 6,
    loginFailures: 3,
    uploadsPerDay: 2,
  });
});
afterAll(() => app.close());

const password = "correct horse battery";
// RFC 5737: addresses for documentation.
const HERE = "192.0.2.1";
const THERE = "198.51.100.7";

const get = (remoteAddress: string, headers: Record<string, string> = {}) =>
  app.inject({ url: "/v1/packs", remoteAddress, headers });
const login = (handle: string, secret: string, remoteAddress: string) =>
  app.inject({ method: "POST", url: "/v1/sessions", payload: { handle, password: secret }, remoteAddress });

async function lastOf(times: number, ask: () => ReturnType<typeof get>) {
  const answers = [];
  for (let i = 0; i < times; i++) answers.push(await ask());
  return answers;
}

describe("requests", () => {
  it("are limited by address, with fields that say how much is left and when to come back", async () => {
    const answers = await lastOf(6, () => get(HERE));
    expect(answers.map(({ statusCode }) => statusCode)).toEqual([200, 200, 200, 200, 200, 429]);
    // draft-ietf-httpapi-ratelimit-headers-10, 3 and 4: lists of strings with the parameters q and w, r and t.
    const [policy] = parseList(String(answers[0]?.headers["ratelimit-policy"]));
    expect([policy?.[0], Object.fromEntries(policy?.[1] ?? [])]).toEqual(["address", { q: 5, w: 60 }]);
    const [state] = parseList(String(answers[0]?.headers.ratelimit));
    expect([state?.[0], state?.[1].get("r")]).toEqual(["address", 4]);
    expect(Number(answers[5]?.headers["retry-after"])).toBeGreaterThan(0);
    expect(answers[5]?.json()).toMatchObject({ type: "/problems/too-many-requests", status: 429 });
    expect((await get(THERE)).statusCode).toBe(200);
  });

  it("are limited by account wherever they come from, and by key apart from it", async () => {
    const session = await app.signIn("busy");
    const made = await app.inject({
      method: "POST",
      url: "/v1/keys",
      payload: { label: "app", scopes: ["read"] },
      headers: session,
    });
    const key = { authorization: `Bearer ${made.json<{ key: string }>().key}` };
    const byAccount = await lastOf(8, () => get(THERE, session));
    expect(byAccount.map(({ statusCode }) => statusCode)).toEqual([200, 200, 200, 200, 200, 200, 200, 429]);
    expect((await get(HERE, session)).statusCode).toBe(429);
    const byKey = await lastOf(7, () => get(THERE, key));
    expect(byKey.map(({ statusCode }) => statusCode)).toEqual([200, 200, 200, 200, 200, 200, 429]);
  });

  it("of GraphQL count once, however many fields they ask for", async () => {
    const ask = () =>
      app.inject({
        method: "POST",
        url: "/graphql",
        payload: { query: "{ a: me { id } b: me { id } c: me { id } }" },
        remoteAddress: "203.0.113.9",
      });
    const answers = await lastOf(6, ask);
    expect(answers.map(({ statusCode }) => statusCode)).toEqual([200, 200, 200, 200, 200, 429]);
    expect(Number(answers[5]?.headers["retry-after"])).toBeGreaterThan(0);
  });

  it("of this machine itself are not limited", async () => {
    const answers = await lastOf(12, () => get("127.0.0.1"));
    expect(new Set(answers.map(({ statusCode }) => statusCode))).toEqual(new Set([200]));
    expect(["127.9.8.7", "::1", "::ffff:127.0.0.1"].map(isLoopback)).toEqual([true, true, true]);
    expect(["128.0.0.1", "::2", "localhost", ""].map(isLoopback)).toEqual([false, false, false, false]);
  });
});

describe("failed logins", () => {
  it("stop whoever fails, and lock out nobody who comes from elsewhere", async () => {
    await app.signIn("victim");
    const wrong = await lastOf(4, () => login("victim", "not the password", "203.0.113.1"));
    expect(wrong.map(({ statusCode }) => statusCode)).toEqual([401, 401, 401, 429]);
    expect((await login("VICTIM", password, "203.0.113.1")).statusCode).toBe(429);
    expect((await login("victim", password, "203.0.113.2")).statusCode).toBe(201);
  });

  it("at one handle from many addresses slow each further try at it down, and lock nobody out", async () => {
    await app.signIn("besieged");
    const limits = app.nest.get(Limits);
    for (let i = 0; i < 30; i++) await limits.afterFailedLogin("Besieged", `198.51.100.${i}`);
    const timed = async (handle: string, secret: string, address: string) => {
      const started = performance.now();
      const { statusCode } = await login(handle, secret, address);
      return { statusCode, milliseconds: performance.now() - started };
    };
    const right = await timed("besieged", password, "203.0.113.50");
    expect(right.statusCode).toBe(201);
    expect(right.milliseconds).toBeGreaterThan(1_990);
    const wrong = await timed("besieged", "not the password", "203.0.113.51");
    expect(wrong.statusCode).toBe(401);
    expect(wrong.milliseconds).toBeGreaterThan(1_990);
    expect(await Promise.all(["BESIEGED", "neighbour"].map((handle) => limits.delayOf(handle)))).toEqual([2_000, 0]);
  });

  it("are told apart from unknown handles by nothing", async () => {
    const wrong = await lastOf(4, () => login("nobody-at-all", "not the password", "203.0.113.3"));
    expect(wrong.map(({ statusCode }) => statusCode)).toEqual([401, 401, 401, 429]);
  });
});

it("registrations are limited by address, across processes", async () => {
  const register = (remoteAddress: string) =>
    app.inject({
      method: "POST",
      url: "/v1/accounts",
      payload: { handle: "many", password: "qwertyuiop" },
      remoteAddress,
    });
  expect((await register("10.0.0.1")).statusCode).toBe(422);
  const limits = app.nest.get(Limits);
  for (let i = 0; i < 19; i++) await limits.countRegistration("10.0.0.1");
  expect((await register("10.0.0.1")).json()).toMatchObject({ type: "/problems/too-many-requests" });
  expect((await register("10.0.0.2")).statusCode).toBe(422);
  const { points } = await app.database.limitState.findUniqueOrThrow({ where: { key: "register:10.0.0.1" } });
  expect(points).toBe(21);
});

it("uploads are limited by a quota for each tester, and the same log again is no new one", async () => {
  const headers = await app.signIn("uploader");
  expect((await uploadCase(app, headers, "One", "truth-4s-10hz")).status).toBe(201);
  expect((await uploadCase(app, headers, "Two", "plain-20hz")).status).toBe(201);
  const third = await uploadCase(app, headers, "Three", "lead-awg12");
  expect([third.status, third.body.type]).toEqual([429, "/problems/quota-reached"]);
  expect(Number(third.headers["retry-after"])).toBeGreaterThan(80_000);
  expect((await uploadCase(app, headers, "Two", "plain-20hz")).status).toBe(200);
});
