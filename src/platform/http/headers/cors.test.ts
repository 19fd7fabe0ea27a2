import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";

const ORIGIN = "https://app.example";

let app: TestApp;
let listed: TestApp;
beforeAll(async () => {
  [app, listed] = await Promise.all([startTestApp(), startTestApp({ corsOrigins: [ORIGIN, "https://other.example"] })]);
});
afterAll(async () => {
  await app.close();
  await listed.close();
});

const preflight = (url: string, method: string, headers: string) => ({
  method: "OPTIONS" as const,
  url,
  headers: {
    origin: ORIGIN,
    "access-control-request-method": method,
    "access-control-request-headers": headers,
  },
});

const listOf = (field: unknown) =>
  String(field)
    .split(",")
    .map((one) => one.trim().toLowerCase());

// Fetch Standard, 3.3 (CORS protocol): what a browser asks for before it shows an answer to a page of another origin.
describe("a page of another origin", () => {
  it.each([
    ["/v1/packs", 200],
    ["/v1/packs/none", 404],
    ["/v1/nothing", 404],
    ["/v1/accounts/me", 401],
    ["/v1/runs/01a2122e-e1a4-753d-899e-c914096834c6/events", 404],
    ["/graphql?query={__typename}", 200],
    ["/openapi.json", 200],
  ])("may read %s, which answers %i, and the fields that tell of it", async (url, status) => {
    const { statusCode, headers } = await app.inject({ url, headers: { origin: ORIGIN } });
    expect(statusCode).toBe(status);
    expect(headers["access-control-allow-origin"]).toBe("*");
    expect(headers["access-control-allow-credentials"]).toBeUndefined();
    const fields = ["etag", "link", "location", "retry-after", "ratelimit", "ratelimit-policy", "content-digest"];
    expect(listOf(headers["access-control-expose-headers"])).toEqual(
      expect.arrayContaining([...fields, "x-request-id"]),
    );
  });

  it("may read a refusal of its method, and which there are", async () => {
    const { statusCode, headers } = await app.inject({ method: "PUT", url: "/v1/packs", headers: { origin: ORIGIN } });
    expect([statusCode, headers["access-control-allow-origin"]]).toEqual([405, "*"]);
    expect(headers.allow).toBe("GET, HEAD, OPTIONS, POST");
  });

  it.each([
    ["/v1/runs", "POST", "authorization,content-type,idempotency-key"],
    ["/v1/accounts/me/password", "PUT", "authorization,content-type"],
    ["/v1/runs/01a2122e-e1a4-753d-899e-c914096834c6", "DELETE", "authorization"],
    ["/v1/runs/01a2122e-e1a4-753d-899e-c914096834c6/log", "GET", "range,if-range"],
    ["/graphql", "POST", "authorization,content-type"],
  ])("is allowed by a preflight for %s, which a browser remembers, to %s with %s", async (url, method, sent) => {
    const { statusCode, headers, body } = await app.inject(preflight(url, method, sent));
    expect([statusCode, body]).toEqual([204, ""]);
    expect(headers["access-control-allow-origin"]).toBe("*");
    expect(listOf(headers["access-control-allow-methods"])).toContain(method.toLowerCase());
    expect(listOf(headers["access-control-allow-headers"])).toEqual(expect.arrayContaining(listOf(sent)));
    expect(Number(headers["access-control-max-age"])).toBeGreaterThanOrEqual(600);
    expect(headers["access-control-allow-credentials"]).toBeUndefined();
  });

  it("gets nothing of the addresses that know a browser by its cookie", async () => {
    for (const url of ["/v1/sign-ins/start", "/v1/sign-ins/callback"]) {
      const read = await app.inject({ url, headers: { origin: ORIGIN } });
      expect(read.headers["access-control-allow-origin"]).toBeUndefined();
      const asked = await app.inject(preflight(url, "GET", "authorization"));
      expect(asked.headers["access-control-allow-origin"]).toBeUndefined();
      expect(asked.headers["access-control-allow-headers"]).toBeUndefined();
    }
  });

  it("is allowed nothing at an address that does not exist", async () => {
    const { statusCode, headers } = await app.inject(preflight("/v1/nothing", "POST", "authorization"));
    expect(statusCode).toBe(404);
    expect(headers["access-control-allow-headers"]).toBeUndefined();
  });
});

describe("with a list of origins", () => {
  const allowed = async (origin: string) => {
    const { headers } = await listed.inject({ url: "/v1/packs", headers: { origin } });
    return headers["access-control-allow-origin"];
  };

  it("only their pages may read, and caches keep the answers apart", async () => {
    expect(await allowed(ORIGIN)).toBe(ORIGIN);
    for (const origin of ["https://elsewhere.example", "null", `${ORIGIN}.elsewhere.example`, "http://app.example"]) {
      expect([origin, await allowed(origin)]).toEqual([origin, undefined]);
    }
    const { headers } = await listed.inject({ url: "/v1/packs" });
    expect(listOf(headers.vary)).toEqual(
      expect.arrayContaining(["origin", "accept", "accept-encoding", "authorization"]),
    );
  });
});
