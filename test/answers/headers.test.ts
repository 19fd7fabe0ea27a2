import { randomUUID } from "node:crypto";
import { afterAll, beforeAll, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../support/app.js";
import { undeclaredIn } from "../support/contract/check-answer.js";
import { Contract } from "../support/contract/contract.js";
import { productOf } from "../support/facts.js";
import { uploadCase } from "../support/uploads.js";

const { operations } = Contract.read();

// Every answer to `inject` is held to the contract, its header fields too: what is not declared is thrown.
let app: TestApp;
let strict: TestApp;
let headers: { authorization: string };
let runId: string;
let packId: string;
beforeAll(async () => {
  [app, strict] = await Promise.all([startTestApp(), startTestApp({ addressRequestsPerMinute: 2 })]);
  headers = await app.signIn("anna");
  const { body } = await uploadCase(app, headers, "Fields", "plain-20hz");
  [runId, packId] = [body.id, body.pack.id];
});
afterAll(async () => {
  await app.close();
  await strict.close();
});

/** An address of a path, with what there is of the names that it takes. */
function addressOf(path: string): string {
  const known: Record<string, string> = { handle: "anna", figure: "power-10s", key: "full-load", version: "1", packId };
  const filled = { ...known, runId, id: path.startsWith("/v1/packs/") ? packId : runId } as Record<string, string>;
  const query = path.startsWith("/v1/comparisons") ? `?packs=${packId},${packId}` : "";
  return `${path.replaceAll(/\{(\w+)\}/g, (_, name: string) => filled[name] ?? randomUUID())}${query}`;
}

const isStream = (path: string) => path.endsWith("/events");

it("are declared of every read, to strangers, to testers, to HEAD and to who has it already", async () => {
  const statuses = new Set<number>();
  for (const { path } of operations.filter(({ method, path }) => method === "get" && !isStream(path))) {
    const url = addressOf(path);
    for (const asked of [{}, headers]) {
      const answer = await app.inject({ url, headers: asked });
      const { etag } = answer.headers;
      const more = [await app.inject({ method: "HEAD", url, headers: asked })];
      if (etag) more.push(await app.inject({ url, headers: { ...asked, "if-none-match": etag } }));
      for (const { statusCode } of [answer, ...more]) statuses.add(statusCode);
      if (etag) expect([path, more[1]?.statusCode]).toEqual([path, 304]);
    }
  }
  expect([...statuses].sort()).toEqual(expect.arrayContaining([200, 304, 401, 403, 404, 422]));
});

it("are declared of every refusal that an operation owes to its form", async () => {
  const statuses = new Set<number>();
  for (const { path, method } of operations) {
    const url = addressOf(path);
    const asked = [
      { method, url: `${url}${url.includes("?") ? "&" : "?"}unknown=1`, headers },
      { method, url, headers: { authorization: "Bearer none" } },
      { method, url, headers: { ...headers, "content-type": "application/json" }, payload: "{" },
      { method, url, headers: { ...headers, "content-type": "text/plain" }, payload: "text" },
      { method, url, headers: { ...headers, accept: "image/none" } },
      { method: "PROPFIND" as never, url },
    ].filter(({ url: one }) => !isStream(path) || one !== url);
    for (const one of asked) statuses.add((await app.inject(one as never)).statusCode);
  }
  expect([...statuses].sort()).toEqual(expect.arrayContaining([400, 401, 404, 405, 406, 415, 422]));
});

it("are declared of logs in parts, and where no part can be had", async () => {
  const url = `/v1/runs/${runId}/log`;
  const statusOf = async (fields: object) => (await app.inject({ url, headers: { ...headers, ...fields } })).statusCode;
  expect(await statusOf({ range: "bytes=0-9" })).toBe(206);
  expect(await statusOf({ range: "bytes=999999999-" })).toBe(416);
  expect(await statusOf({ "accept-encoding": "gzip" })).toBe(200);
});

it("are declared of refusals that an idempotency key gives again, and of one that is at work, alike the first time and again", async () => {
  const send = (key: string, payload: object, type = "application/json") => {
    const fields = { ...headers, "idempotency-key": key, "content-type": type };
    return app.inject({ method: "POST", url: "/v1/packs", headers: fields, payload: JSON.stringify(payload) });
  };
  const key = randomUUID();
  const [first, again] = [await send(key, {}), await send(key, {})];
  expect([first.statusCode, again.statusCode, again.headers["idempotency-replayed"]]).toEqual([422, 422, "?1"]);
  expect(again.headers["cache-control"]).toBe(first.headers["cache-control"]);
  const other = randomUUID();
  const pack = productOf("At work");
  const all = await Promise.all(Array.from({ length: 4 }, () => send(other, pack)));
  const inUse = all.filter(({ statusCode }) => statusCode === 409);
  for (const answer of inUse) expect(answer.headers["retry-after"]).toBe("1");
  expect(inUse.length).toBeGreaterThan(0);
});

it("are declared of whoever asks too often", async () => {
  const statuses: number[] = [];
  // RFC 5737: an address for documentation.
  for (let count = 0; count < 4; count += 1)
    statuses.push((await strict.inject({ url: "/v1/packs", remoteAddress: "192.0.2.1" })).statusCode);
  expect(statuses).toEqual([200, 200, 429, 429]);
});

it("that are not declared are found, whatever their case, and those that are missing", () => {
  const sent = (fields: object) => ({
    method: "GET",
    url: "/v1/packs/none",
    status: 404,
    headers: { "content-type": "application/problem+json", ...fields },
    body: Buffer.from(
      JSON.stringify({ type: "/problems/not-found", title: "", status: 404, detail: "", code: "not-found" }),
    ),
  });
  const about = "GET /v1/packs/{id} 404";
  expect(undeclaredIn(sent({ "cache-control": "no-store", "X-Request-Id": "1", "Retry-After": "1" }))).toEqual([
    `${about}: the field retry-after is not declared`,
  ]);
  expect(undeclaredIn(sent({}))).toEqual([`${about}: the field cache-control is missing`]);
  expect(undeclaredIn({ ...sent({ "cache-control": "no-store" }), method: "PUT", status: 405 })).toEqual([
    "PUT /v1/packs/none, which is not declared, 405: the field allow is missing",
  ]);
});
