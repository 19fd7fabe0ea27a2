import { connect } from "node:net";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { DatasetService } from "../../src/features/dataset/dataset.service.js";
import { describeApi } from "../../src/platform/http/open-api/open-api.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { uploadCase } from "../support/uploads.js";

let app: TestApp;
let headers: { authorization: string };
let ids: readonly (readonly [string, string])[];
beforeAll(async () => {
  app = await startTestApp({ accountRequestsPerMinute: 1e9 });
  headers = await app.signIn("reader", "administrator");
  // The first read of a missing one has it made, and the second may find it.
  await app.nest.get(DatasetService).write();
  const { body } = await uploadCase(app, headers, "Held", "truth-4s-10hz");
  const run = await app.database.run.findUniqueOrThrow({ where: { id: body.id }, include: { specimen: true } });
  ids = [
    ["{runId}", run.id],
    ["{specimenId}", run.specimenId],
    ["{packId}", run.specimen.packId],
    ["/runs/{id}", `/runs/${run.id}`],
    ["/packs/{id}", `/packs/${run.specimen.packId}`],
    ["/specimens/{id}", `/specimens/${run.specimenId}`],
    ["/benches/{id}", `/benches/${run.benchId}`],
    ["{figure}", "power-10s"],
    ["{key}", "full-load"],
    ["{version}", "1"],
    ["/evaluations/compare", `/evaluations/compare?from=${run.currentEvaluationId}&to=${run.currentEvaluationId}`],
    ["/v1/notices/events", "/v1/notices/events?seconds=0"],
    ["/v1/comparisons", `/v1/comparisons?runs=${run.id}`],
  ];
});
afterAll(() => app.close());

/** What has no place in the contract, and is read all the same. */
const BESIDE = ["/", "/docs", "/openapi.json", "/problems", "/problems/not-found", "/graphql?query={__typename}"];
/** The part that encodes answers knows no paths: each path is read under one of these, in turn. */
const ENCODINGS = ["gzip", "br, gzip;q=0.5", "zstd", "identity;q=0, *"];
/** Differ from one answer to the next, or with how the body is sent (RFC 9110, 9.3.2, lets HEAD leave those out). */
const PASSING = new Set(["date", "x-request-id", "ratelimit", "retry-after", "content-length", "transfer-encoding"]);

type Answer = Awaited<ReturnType<TestApp["inject"]>>;
const ask = (method: "GET" | "HEAD", url: string, more: Record<string, string>): Promise<Answer> =>
  app.inject({ method, url, headers: { ...headers, ...more } });

/** What these show, such as how long a run has waited, is another with each moment, and so is its tag. */
const isMomentary = (path: string) => /\/evidence(\/full)?$/.test(path);

const lasting = (path: string, { headers: fields }: Answer) =>
  Object.fromEntries(
    Object.entries(fields).filter(([name]) => !PASSING.has(name) && !(name === "etag" && isMomentary(path))),
  );

/** One of the conditions that a tag meets (RFC 9110, 13.1.2: by weak comparison), another for each turn. */
const metBy = (tag: string, turn: number) => {
  const opaque = tag.replace(/^W\//, "");
  return [tag, opaque, `W/${opaque}`, "*", `"other" , ${tag}`][turn % 5] as string;
};

/** By GET and HEAD: as they are, with a condition that is met, and with one that is not where nothing is encoded. */
async function compareReads(path: string, encoding: string | undefined, turn: number) {
  const accepts: Record<string, string> = encoding === undefined ? {} : { "accept-encoding": encoding };
  const sameByHead = async (more: Record<string, string>) => {
    const got = await ask("GET", path, { ...accepts, ...more });
    const head = await ask("HEAD", path, { ...accepts, ...more });
    const about = { path, encoding, ...more };
    expect({ ...about, status: got.statusCode < 500 || got.statusCode === 503 }).toEqual({ ...about, status: true });
    expect({ ...about, status: head.statusCode, body: head.rawPayload.length }).toEqual({
      ...about,
      status: got.statusCode,
      body: 0,
    });
    expect({ ...lasting(path, head), ...about }).toEqual({ ...lasting(path, got), ...about });
    const stated = head.headers["content-length"];
    if (stated !== undefined && got.statusCode !== 304 && !isMomentary(path))
      expect(Number(stated)).toBe(got.rawPayload.length);
    return got;
  };
  const whole = await sameByHead({});
  const { etag } = whole.headers;
  const condition = metBy(String(etag ?? '"none"'), turn);
  const conditional = await sameByHead({ "if-none-match": condition });
  if (etag !== undefined && whole.statusCode === 200 && !isMomentary(path)) {
    // RFC 9110, 15.4.5: no content, and the fields that a cache needs as the 200 has them.
    expect([path, encoding, condition, conditional.statusCode, conditional.rawPayload.length]).toEqual([
      path,
      encoding,
      condition,
      304,
      0,
    ]);
    for (const name of ["etag", "cache-control", "vary"]) {
      expect([path, name, conditional.headers[name]]).toEqual([path, name, whole.headers[name]]);
    }
    // RFC 9110, 8.6: no other length than the 200 would have.
    expect([path, conditional.headers["content-length"] ?? null]).toEqual([path, null]);
  }
  if (encoding === undefined) {
    expect((await sameByHead({ "if-none-match": '"other"' })).statusCode).toBe(whole.statusCode);
  }
  return whole.statusCode;
}

describe("a read by HEAD", () => {
  const read = new Map<string, number>();
  let addresses: readonly string[];
  beforeAll(() => {
    const paths = Object.entries(describeApi(app.nest).paths).filter(([, item]) => "get" in item);
    const all = paths.map(([path]) => ids.reduce((text, [from, to]) => text.replace(from, to), path));
    expect(all.length).toBeGreaterThan(30);
    addresses = [...all, ...BESIDE];
  });

  it("is answered as by GET and without a body, conditional or not", async () => {
    for (const [turn, path] of addresses.entries()) read.set(path, await compareReads(path, undefined, turn));
  });

  it("is answered so when the answer is encoded, too", async () => {
    for (const [turn, path] of addresses.entries()) {
      await compareReads(path, ENCODINGS[turn % ENCODINGS.length], turn);
    }
  });

  it("has no body on the wire, where there is nothing to read either", async () => {
    const { port, hostname } = new URL(app.url);
    for (const path of ["/nowhere", "/v1/packs/nowhere", "/v1/packs", "/openapi.json"]) {
      const socket = connect(Number(port), hostname);
      socket.write(`HEAD ${path} HTTP/1.1\r\nhost: a\r\naccept-encoding: gzip\r\nconnection: close\r\n\r\n`);
      let text = "";
      for await (const bytes of socket) text += String(bytes);
      expect([path, text.startsWith("HTTP/1.1 "), text.indexOf("\r\n\r\n")]).toEqual([path, true, text.length - 4]);
    }
  });

  it("was tried where there is something to read", () => {
    const withContent = [...read].filter(([, status]) => status === 200).map(([path]) => path);
    for (const part of [
      "/log",
      "/trace",
      "/events",
      "/evidence",
      "/v1/packs/",
      "/v1/benches/",
      "/v1/rankings/",
      "/docs",
    ])
      expect([part, withContent.some((path) => path.includes(part))]).toEqual([part, true]);
  });
});
