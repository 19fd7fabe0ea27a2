import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import type { InjectOptions } from "fastify";
import { parseList } from "structured-headers";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { uploadCase } from "../../../test/support/uploads.js";
import { BoundedLimiter } from "./bounded-limiter.js";

let app: TestApp;
beforeAll(async () => {
  app = await startTestApp({
    addressRequestsPerMinute: 5,
    accountRequestsPerMinute: 7,
    keyRequestsPerMinute: 6,
    uploadsPerDay: 2,
  });
});
afterAll(() => app.close());

// RFC 5737 and RFC 3849: addresses for documentation.
const HERE = "192.0.2.1";
const THERE = "198.51.100.7";

const get = (remoteAddress: string, headers: Record<string, string> = {}) =>
  app.inject({ url: "/v1/packs", remoteAddress, headers });

async function statusesOf(times: number, ask: (index: number) => ReturnType<typeof get>) {
  const answers = [];
  for (let i = 0; i < times; i++) answers.push(await ask(i));
  return { answers, statuses: answers.map(({ statusCode }) => statusCode) };
}

function fieldsOf(headers: Readonly<Record<string, unknown>>) {
  const [policy] = parseList(String(headers["ratelimit-policy"]));
  const [state] = parseList(String(headers.ratelimit));
  return {
    names: [policy?.[0], state?.[0]],
    policy: Object.fromEntries(policy?.[1] ?? []),
    left: state?.[1].get("r"),
  };
}

describe("requests", () => {
  it("are limited by address, with fields that say how much is left and when to come back", async () => {
    const { answers, statuses } = await statusesOf(6, () => get(HERE));
    expect(statuses).toEqual([200, 200, 200, 200, 200, 429]);
    // draft-ietf-httpapi-ratelimit-headers-10, 3 and 4: lists of strings with the parameters q and w, r and t.
    expect(fieldsOf(answers[0]?.headers ?? {})).toEqual({
      names: ["address", "address"],
      policy: { q: 5, w: 60 },
      left: 4,
    });
    expect(fieldsOf(answers[5]?.headers ?? {}).left).toBe(0);
    expect(Number(answers[5]?.headers["retry-after"])).toBeGreaterThan(0);
    expect(answers[5]?.json()).toMatchObject({ type: "/problems/too-many-requests", status: 429 });
    expect((await get(THERE)).statusCode).toBe(200);
  });

  it("are limited by account wherever they come from, and by key apart from it", async () => {
    const session = await app.signIn("busy");
    const payload = { label: "app", scopes: ["read"] };
    const made = await app.inject({ method: "POST", url: "/v1/keys", payload, headers: session });
    const key = { authorization: `Bearer ${made.json<{ key: string }>().key}` };
    expect((await statusesOf(8, () => get(THERE, session))).statuses).toEqual([...Array(7).fill(200), 429]);
    expect((await get("203.0.113.77", session)).statusCode).toBe(429);
    const byKey = await statusesOf(7, () => get(THERE, key));
    expect(byKey.statuses).toEqual([...Array(6).fill(200), 429]);
    expect(fieldsOf(byKey.answers[0]?.headers ?? {}).names).toEqual(["key", "key"]);
  });

  it("of a tester go on while strangers at the same address have used it up, with tokens and without", async () => {
    const address = "203.0.113.20";
    const session = await app.signIn("neighbour");
    expect((await get(address, session)).statusCode).toBe(200);
    await statusesOf(8, () => get(address));
    await statusesOf(8, () => get(address, { authorization: `Bearer ${"x".repeat(43)}` }));
    expect((await get(address)).statusCode).toBe(429);
    expect((await get(address, session)).statusCode).toBe(200);
  });

  it("with a session that has ended are counted for its account no more", async () => {
    const session = await app.signIn("leaver");
    const other = await app.signIn("leaver");
    expect((await get("203.0.113.21", session)).statusCode).toBe(200);
    const sessions = await app.inject({ url: "/v1/sessions", headers: session });
    const { items } = sessions.json<{ items: { id: string; current: boolean }[] }>();
    const own = items.find(({ current }) => current)?.id;
    await app.inject({ method: "DELETE", url: `/v1/sessions/${own}`, headers: session });
    const { statuses } = await statusesOf(8, () => get("203.0.113.21", session));
    expect(statuses).toEqual([401, 401, 401, 401, 401, 429, 429, 429]);
    expect((await get("203.0.113.22", other)).statusCode).toBe(200);
  });

  it("of an IPv6 address are counted with all of its /64, and of a mapped IPv4 address with that", async () => {
    const { statuses } = await statusesOf(6, (index) => get(`2001:db8:1:2:${index}::${index + 1}`));
    expect(statuses).toEqual([200, 200, 200, 200, 200, 429]);
    expect((await get("2001:db8:1:3::1")).statusCode).toBe(200);
    await statusesOf(5, () => get("203.0.113.30"));
    expect((await get("::ffff:203.0.113.30")).statusCode).toBe(429);
  });

  it("of this machine itself are not limited", async () => {
    for (const address of ["127.0.0.1", "::1", "::ffff:127.0.0.1"]) {
      const { answers, statuses } = await statusesOf(8, () => get(address));
      expect(new Set(statuses)).toEqual(new Set([200]));
      expect(answers[0]?.headers.ratelimit).toBeUndefined();
    }
  });

  it("that this machine passes on for others are limited, whatever header says so", async () => {
    // RFC 7239; RFC 9110, 7.6.3; the others are common practice.
    const FIELDS = ["x-forwarded-for", "forwarded", "via", "x-real-ip", "x-forwarded-proto", "x-client-ip"];
    for (const [index, field] of FIELDS.entries()) {
      const { statuses } = await statusesOf(6, () => get(`127.0.1.${index}`, { [field]: "127.0.0.1" }));
      expect([field, statuses.at(-1)]).toEqual([field, 429]);
    }
  });
});

describe("a request is counted before anything is done for it", () => {
  const bearer = { authorization: `Bearer ${"A".repeat(43)}` };
  const json = { "content-type": "application/json" };
  const accept = "application/graphql-response+json";
  const graphql = (query: unknown): InjectOptions => ({
    method: "POST",
    url: "/graphql",
    payload: { query } as object,
    headers: { accept },
  });
  it.each<[string, InjectOptions, number]>([
    ["an unknown token", { url: "/v1/packs", headers: bearer }, 401],
    ["a token that is none", { url: "/v1/packs", headers: { authorization: "Basic YTpi" } }, 401],
    ["an unknown token at GraphQL", { ...graphql("{ me { id } }"), headers: { ...bearer, accept } }, 401],
    ["an unknown path", { url: "/nothing/here" }, 404],
    ["an unknown path with a token", { url: "/nothing/here", headers: bearer }, 404],
    ["a wrong method", { method: "DELETE", url: "/v1/packs" }, 405],
    ["a path that cannot be decoded", { url: "/v1/packs/%E0%A4%A" }, 400],
    ["half a JSON document", { method: "POST", url: "/v1/packs", headers: json, payload: '{"a' }, 400],
    ["a body too large", { method: "POST", url: "/v1/packs", headers: json, payload: `"${"a".repeat(300_000)}"` }, 413],
    ["a media type that is not taken", { method: "POST", url: "/v1/packs", payload: "a" }, 415],
    ["a GraphQL document that cannot be parsed", graphql("{ me {"), 400],
    ["a GraphQL document that is no text", graphql(7), 400],
    ["introspection", graphql("{ __schema { queryType { name } } }"), 200],
    ["the name of a type", graphql("{ __typename }"), 200],
    ["many fields at once", graphql("{ a: me { id } b: me { id } c: me { id } }"), 200],
    ["HEAD", { method: "HEAD", url: "/v1/packs" }, 200],
    ["the page of the documentation", { url: "/docs" }, 200],
    ["an OPTIONS request", { method: "OPTIONS", url: "/v1/packs" }, 204],
    [
      "a wrong password",
      { method: "POST", url: "/v1/sessions", payload: { handle: "nobody", password: "no such word" } },
      401,
    ],
  ])("%s", async (name, request, status) => {
    const number = [...name].reduce((sum, letter) => sum + letter.charCodeAt(0), name.length * 257) % 65_536;
    const remoteAddress = `198.18.${number >> 8}.${number & 255}`;
    const ask = () => app.inject({ ...request, remoteAddress });
    const { answers, statuses } = await statusesOf(6, ask);
    expect(statuses).toEqual([status, status, status, status, status, 429]);
    for (const { headers } of answers) expect(fieldsOf(headers).policy).toEqual({ q: 5, w: 60 });
    expect(Number(answers[5]?.headers["retry-after"])).toBeGreaterThan(0);
  });

  // Fetch Standard, 4.8: a preflight is kept for a URL, and goes without the credential of the request that follows.
  it("but no preflight, so that a page may use at as many URLs what its account may", async () => {
    const headers = { origin: "https://app.example", "access-control-request-method": "GET" };
    const ask = (url: string) => app.inject({ method: "OPTIONS", url, headers, remoteAddress: "192.0.2.61" });
    const answers = await Promise.all(Array.from({ length: 12 }, (_, i) => ask(`/v1/runs/${i}`)));
    expect(new Set(answers.map(({ statusCode }) => statusCode))).toEqual(new Set([204]));
    const { statuses } = await statusesOf(6, () => app.inject({ url: "/v1/packs", remoteAddress: "192.0.2.61" }));
    expect(statuses).toEqual([200, 200, 200, 200, 200, 429]);
  });

  it("and a WebSocket is refused before it is opened", async () => {
    const headers = {
      connection: "Upgrade",
      upgrade: "websocket",
      "sec-websocket-version": "13",
      "sec-websocket-key": "dGhlIHNhbXBsZSBub25jZQ==",
      // From this machine, and so counted only because it is passed on.
      forwarded: "for=192.0.2.60",
    };
    const { statuses } = await statusesOf(5, () => app.inject({ url: "/v1/packs", headers }));
    expect(statuses).toEqual([200, 200, 200, 200, 200]);
    const answer = await fetch(`${app.url}/graphql`, { headers: { forwarded: "for=192.0.2.60" } });
    expect(answer.status).toBe(429);
  });
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

it("no more addresses are counted than fit, and the one not seen for longest is forgotten", async () => {
  const limiter = new BoundedLimiter("address", 3, 60, 100);
  for (let i = 0; i < 1_000; i++) await limiter.count(`address ${i}`);
  expect(limiter.size).toBe(100);
  await limiter.count("address 999");
  expect((await limiter.count("address 999")).consumedPoints).toBe(3);
  expect((await limiter.count("address 0")).consumedPoints).toBe(1);
});
