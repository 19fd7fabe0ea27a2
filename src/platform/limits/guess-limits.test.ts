import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { GuessLimits } from "./guess-limits.js";

let app: TestApp;
beforeAll(async () => {
  app = await startTestApp({ loginFailures: 3, addressRequestsPerMinute: 1e6, accountRequestsPerMinute: 1e6 });
});
afterAll(() => app.close());

const password = "correct horse battery";
const login = (handle: string, secret: string, remoteAddress: string) =>
  app.inject({ method: "POST", url: "/v1/sessions", payload: { handle, password: secret }, remoteAddress });

async function statusesOf(times: number, ask: (index: number) => ReturnType<typeof login>) {
  const statuses = [];
  for (let i = 0; i < times; i++) statuses.push((await ask(i)).statusCode);
  return statuses;
}

const countsOf = (statuses: readonly number[]) =>
  Object.fromEntries([...new Set(statuses)].map((one) => [one, statuses.filter((status) => status === one).length]));

describe("failed logins", () => {
  it("stop whoever fails, and lock out nobody who comes from elsewhere", async () => {
    await app.signIn("victim");
    expect(await statusesOf(4, () => login("victim", "not the password", "203.0.113.1"))).toEqual([401, 401, 401, 429]);
    const refused = await login("VICTIM", password, "203.0.113.1");
    expect([refused.statusCode, Number(refused.headers["retry-after"]) > 0]).toEqual([429, true]);
    expect((await login("victim", password, "203.0.113.2")).statusCode).toBe(201);
  });

  it("are told apart from unknown handles by nothing", async () => {
    const wrong = await statusesOf(4, () => login("nobody-at-all", "not the password", "203.0.113.3"));
    expect(wrong).toEqual([401, 401, 401, 429]);
  });

  it("of many tries at once are no more than of tries one after the other", async () => {
    await app.signIn("hurried");
    const tries = Array.from({ length: 40 }, () => login("hurried", "not the password", "203.0.113.4"));
    const statuses = (await Promise.all(tries)).map(({ statusCode }) => statusCode);
    expect(countsOf(statuses)).toEqual({ 401: 3, 429: 37 });
  });

  it("of GraphQL documents with the same field many times are counted too", async () => {
    await app.signIn("aliased");
    const one = 'createSession(input: { handle: "aliased", password: "not the password" }) { token }';
    const query = `mutation { ${Array.from({ length: 8 }, (_, index) => `a${index}: ${one}`).join(" ")} }`;
    const remoteAddress = "203.0.113.5";
    for (let i = 0; i < 3; i++)
      await app.inject({ method: "POST", url: "/graphql", payload: { query }, remoteAddress });
    expect((await login("aliased", password, "203.0.113.5")).statusCode).toBe(429);
    expect((await login("aliased", password, "203.0.113.6")).statusCode).toBe(201);
  });

  it("of one address at many handles stop it, and nobody else", async () => {
    const sprayed = (index: number) => login(`sprayed-${index}`, "Password12345", "203.0.113.7");
    expect(countsOf(await statusesOf(20, sprayed))).toEqual({ 401: 15, 429: 5 });
    await app.signIn("unsprayed");
    expect((await login("unsprayed", password, "203.0.113.7")).statusCode).toBe(429);
    expect((await login("unsprayed", password, "203.0.113.8")).statusCode).toBe(201);
  });

  it("of an address stop nobody whose password was right from there before", async () => {
    await app.signIn("regular");
    expect((await login("regular", password, "203.0.113.9")).statusCode).toBe(201);
    await statusesOf(16, (index) => login(`other-${index}`, "Password12345", "203.0.113.9"));
    expect((await login("stranger-there", "Password12345", "203.0.113.9")).statusCode).toBe(429);
    expect((await login("regular", password, "203.0.113.9")).statusCode).toBe(201);
  });

  it("are not what logins that succeed are counted as", async () => {
    await app.signIn("diligent");
    const statuses = await statusesOf(20, () => login("diligent", password, "203.0.113.10"));
    expect(countsOf(statuses)).toEqual({ 201: 20 });
    const mixed = await statusesOf(12, (index) =>
      login("diligent", index % 3 === 2 ? password : "not the password", "203.0.113.10"),
    );
    expect(countsOf(mixed)).toEqual({ 401: 8, 201: 4 });
  });

  it("at one handle from many addresses slow each further try down, let few in, and lock nobody out", async () => {
    await app.signIn("besieged");
    expect((await login("besieged", password, "203.0.113.51")).statusCode).toBe(201);
    for (let i = 0; i < 30; i++)
      expect((await login("Besieged", "not the password", `198.51.100.${i}`)).statusCode).toBe(401);
    const timed = async (address: string) => {
      const started = performance.now();
      const { statusCode } = await login("besieged", password, address);
      return { statusCode, isSlow: performance.now() - started > 1_990 };
    };
    expect(await timed("203.0.113.50")).toEqual({ statusCode: 201, isSlow: true });
    expect((await timed("203.0.113.51")).statusCode).toBe(201);
    const tries = Array.from({ length: 60 }, (_, index) =>
      login("besieged", "not the password", `198.51.101.${index}`),
    );
    const counts = countsOf((await Promise.all(tries)).map(({ statusCode }) => statusCode));
    // 20 a minute are let in; the clock may turn to another minute on the way.
    expect(counts[429]).toBeGreaterThanOrEqual(20);
    expect(counts[401]).toBeLessThanOrEqual(40);
    expect((await login("besieged", password, "203.0.113.51")).statusCode).toBe(201);
  });
});

describe("wrong passwords with a session", () => {
  const wrong = { password: "not the password" };
  it("stop that session from confirming anything, and no other one", async () => {
    const stolen = await app.signIn("robbed");
    const own = await app.signIn("robbed");
    const erase = (headers: Record<string, string>) =>
      app.inject({ method: "POST", url: "/v1/accounts/me/erasure", payload: wrong, headers });
    const change = (headers: Record<string, string>, secret: string) =>
      app.inject({
        method: "PUT",
        url: "/v1/accounts/me/password",
        payload: { password: secret, newPassword: "another horse battery" },
        headers,
      });
    expect(await statusesOf(4, (index) => (index % 2 ? erase(stolen) : change(stolen, "no")))).toEqual([
      401, 401, 401, 429,
    ]);
    expect((await change(stolen, password)).statusCode).toBe(429);
    expect((await change(own, password)).statusCode).toBe(204);
  });

  it("are counted before they are verified", async () => {
    const session = await app.signIn("parallel");
    const tries = Array.from({ length: 20 }, () =>
      app.inject({ method: "POST", url: "/v1/accounts/me/erasure", payload: wrong, headers: session }),
    );
    const statuses = (await Promise.all(tries)).map(({ statusCode }) => statusCode);
    expect(countsOf(statuses)).toEqual({ 401: 3, 429: 17 });
  });
});

it("tokens of the first administrator cannot be guessed at for long", async () => {
  const guess = (remoteAddress: string) => {
    const payload = { token: "g".repeat(43), handle: "boss", password };
    return app.inject({ method: "POST", url: "/v1/administrators", payload, remoteAddress });
  };
  const statuses = (await Promise.all(Array.from({ length: 30 }, () => guess("203.0.113.40")))).map(
    (one) => one.statusCode,
  );
  expect(countsOf(statuses)).toEqual({ 401: 20, 429: 10 });
  expect((await guess("203.0.113.41")).statusCode).toBe(401);
});

it("registrations are limited by address, across processes", async () => {
  const register = (remoteAddress: string) => {
    const payload = { handle: "many", password: "qwertyuiop" };
    return app.inject({ method: "POST", url: "/v1/accounts", payload, remoteAddress });
  };
  expect((await register("10.0.0.1")).statusCode).toBe(422);
  const limits = app.nest.get(GuessLimits);
  for (let i = 0; i < 19; i++) await limits.countRegistration({ network: "10.0.0.1", isThisMachine: false });
  expect((await register("10.0.0.1")).json()).toMatchObject({ type: "/problems/too-many-requests" });
  expect((await register("10.0.0.2")).statusCode).toBe(422);
  const { points } = await app.database.limitState.findUniqueOrThrow({ where: { key: "register:10.0.0.1" } });
  expect(points).toBe(21);
});
