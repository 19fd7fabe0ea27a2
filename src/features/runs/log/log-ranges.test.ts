import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";
import { logCase, uploadCase } from "../../../../test/support/uploads.js";

let app: TestApp;
let headers: { authorization: string };
let url: string;
let whole: Buffer;
beforeAll(async () => {
  app = await startTestApp();
  headers = await app.signIn("anna");
  // Lines that are no samples make it longer than a chunk of the database.
  const { log } = logCase("truth-4s-10hz");
  whole = Buffer.concat([Buffer.from("# a remark of the bench\n".repeat(30_000)), Buffer.from(log)]);
  const { body } = await uploadCase(app, headers, "Ranges", "truth-4s-10hz", Uint8Array.from(whole));
  url = `/v1/runs/${body.id ?? body.runId}/log`;
});
afterAll(() => app.close());

const get = (fields: Record<string, string> = {}, method: "GET" | "HEAD" = "GET") =>
  app.inject({ method, url, headers: { ...headers, ...fields } });

describe("the log of a run", () => {
  it("comes whole, and says that parts can be had", async () => {
    const answer = await get();
    expect([answer.statusCode, answer.rawPayload.equals(whole)]).toEqual([200, true]);
    expect(answer.headers).toMatchObject({ "accept-ranges": "bytes", "content-length": String(whole.length) });
    expect(whole.length).toBeGreaterThan(2 * 2 ** 18);
  });

  // RFC 9110, 14.4 and 15.3.7.
  it.each([
    ["bytes=0-0", 0, 0],
    ["bytes=100-199", 100, 199],
    ["bytes=262100-262200", 262_100, 262_200],
    ["bytes=262144-524287", 262_144, 524_287],
    ["bytes=524288-", 524_288, null],
    ["bytes=-7", -7, null],
  ])("comes in part for %s", async (range, from, to) => {
    const answer = await get({ range });
    const last = whole.length - 1;
    const [start, end] = [from < 0 ? whole.length + from : from, to ?? last];
    expect(answer.statusCode).toBe(206);
    expect(answer.headers["content-range"]).toBe(`bytes ${start}-${end}/${whole.length}`);
    expect(answer.headers["content-length"]).toBe(String(end - start + 1));
    expect(answer.rawPayload.equals(whole.subarray(start, end + 1))).toBe(true);
    expect(answer.headers.vary).toContain("authorization");
  });

  it("has no byte beyond its end", async () => {
    const answer = await get({ range: `bytes=${whole.length}-` });
    expect([answer.statusCode, answer.json()]).toMatchObject([416, { type: "/problems/range-not-satisfiable" }]);
    expect(answer.headers["content-range"]).toBe(`bytes */${whole.length}`);
    expect(answer.headers["cache-control"]).toBe("no-store");
  });

  it("comes whole for several ranges, for HEAD and for another state", async () => {
    for (const fields of [{ range: "bytes=0-0,9-9" }, { range: "bytes=0-0", "if-range": '"other"' }]) {
      const answer = await get(fields);
      expect([answer.statusCode, answer.headers["content-range"]]).toEqual([200, undefined]);
    }
    const head = await get({ range: "bytes=0-0" }, "HEAD");
    expect([head.statusCode, head.headers["content-length"]]).toEqual([200, String(whole.length)]);
  });

  it("comes in part as it is, whatever coding is accepted", async () => {
    const answer = await get({ range: "bytes=0-99999", "accept-encoding": "gzip" });
    expect([answer.statusCode, answer.headers["content-encoding"]]).toEqual([206, undefined]);
    expect(answer.rawPayload.equals(whole.subarray(0, 100_000))).toBe(true);
  });

  // RFC 9110, 13.2.2: If-None-Match comes before Range.
  it("is 304 to a client that has it, whatever range was asked for", async () => {
    const etag = String((await get()).headers.etag);
    const fields = { "if-none-match": etag };
    for (const range of ["bytes=0-0", `bytes=${whole.length}-`]) {
      expect((await get({ ...fields, range })).statusCode).toBe(304);
    }
    expect((await get({ range: "bytes=0-0", "if-range": etag })).statusCode).toBe(206);
  });

  // RFC 9110, 15.4.5: a 304 has what tells caches of the representation, and nothing else that describes it.
  it.each([{}, { "accept-encoding": "gzip" }])(
    "says with a 304 nothing of the content that it leaves out, %j",
    async (sent) => {
      const { headers } = await get(sent);
      const answer = await get({ ...sent, "if-none-match": String(headers.etag) });
      const kept = ["etag", "cache-control", "vary"].map((name) => [name, headers[name]]);
      expect(answer.statusCode).toBe(304);
      expect(answer.headers).toMatchObject(Object.fromEntries(kept));
      const described = /^(content-(type|length|disposition|encoding|range)|accept-ranges|.*-digest)$/;
      expect(Object.keys(answer.headers).filter((name) => described.test(name))).toEqual([]);
    },
  );

  it("comes as its own media type or as bytes", async () => {
    expect((await get({ accept: "text/csv" })).headers["content-type"]).toBe("text/csv");
    expect((await get({ accept: "application/octet-stream" })).headers["content-type"]).toBe(
      "application/octet-stream",
    );
    expect((await get({ accept: "application/json" })).statusCode).toBe(406);
  });
});
