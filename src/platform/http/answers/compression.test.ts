import { brotliDecompressSync, gunzipSync, gzipSync, zstdDecompressSync } from "node:zlib";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";
import { productOf } from "../../../../test/support/facts.js";
import { logCase, postForm, register } from "../../../../test/support/uploads.js";

let app: TestApp;
let headers: { authorization: string };
const runs = { plain: "", packed: "" };
const { log, conditions, ...facts } = logCase("truth-4s-10hz");
beforeAll(async () => {
  app = await startTestApp();
  headers = await app.signIn("anna");
  for (let i = 0; i < 20; i++) {
    await app.inject({ method: "POST", url: "/v1/packs", payload: productOf(`Sprint ${i}`), headers });
  }
  const { packId: _, ...ids } = await register(app, headers, "Logged", { log, conditions, ...facts });
  const run = { protocol: "full-load", ...ids, ...conditions };
  const upload = async (bytes: Uint8Array, cycles: number) =>
    (await postForm(`${app.url}/v1/runs`, { ...run, cycles }, bytes, { headers })).body.id;
  runs.plain = await upload(log, 12);
  runs.packed = await upload(gzipSync(log), 12);
});
afterAll(() => app.close());

// RFC 9110, 8.4.1.3; RFC 7932; RFC 8878: decoded by Node's zlib.
const DECODERS = { gzip: gunzipSync, br: brotliDecompressSync, zstd: zstdDecompressSync } as const;
const PACKS = "/v1/packs?first=100";

const read = (
  url: string,
  accepted: string | null,
  more: Record<string, string> = {},
  method: "GET" | "HEAD" = "GET",
) => app.inject({ method, url, headers: { ...(accepted === null ? {} : { "accept-encoding": accepted }), ...more } });

describe("an answer", () => {
  it.each(Object.keys(DECODERS) as (keyof typeof DECODERS)[])("comes as %s to whoever accepts that", async (coding) => {
    const plain = await read(PACKS, null);
    expect(plain.headers["content-encoding"]).toBeUndefined();
    const answer = await read(PACKS, coding);
    expect(answer.headers["content-encoding"]).toBe(coding);
    expect(answer.headers.vary).toContain("accept-encoding");
    expect(answer.rawPayload.length).toBeLessThan(plain.rawPayload.length / 3);
    expect(DECODERS[coding](answer.rawPayload).toString()).toBe(plain.body);
  });

  it.each([
    ["identity", undefined],
    ["gzip;q=0, br;q=0.5", "br"],
    ["br;q=0.1, gzip;q=0.9", "gzip"],
    ["compress", undefined],
    ["", undefined],
  ])("to whoever accepts %p comes as %p", async (accepted, coding) => {
    const answer = await read(PACKS, accepted);
    expect([answer.statusCode, answer.headers["content-encoding"]]).toEqual([200, coding]);
    // RFC 9110, 12.5.5: what was chosen by, also where nothing was done.
    expect(answer.headers.vary).toContain("accept-encoding");
  });

  it("is not modified for whoever has it in any coding, since its tag is weak", async () => {
    const { etag } = (await read(PACKS, "br")).headers;
    expect(etag).toMatch(/^W\//);
    for (const accepted of ["br", "gzip", null]) {
      const again = await read(PACKS, accepted, { "if-none-match": String(etag) });
      expect([again.statusCode, again.body, again.headers.etag]).toEqual([304, "", etag]);
      expect(again.headers["content-encoding"]).toBeUndefined();
    }
  });

  it("has the same fields without its body for HEAD (RFC 9110, 9.3.2)", async () => {
    for (const accepted of ["gzip", null]) {
      const [got, head] = [await read(PACKS, accepted), await read(PACKS, accepted, {}, "HEAD")];
      expect([head.statusCode, head.body]).toEqual([200, ""]);
      for (const field of ["etag", "content-encoding", "vary", "content-type", "cache-control"]) {
        expect([field, head.headers[field]]).toEqual([field, got.headers[field]]);
      }
    }
  });

  it("of GraphQL is compressed too", async () => {
    const query = "{ packs(first: 50) { edges { node { id maker name } } } }";
    const ask = { method: "POST" as const, url: "/graphql", payload: { query } };
    const answer = await app.inject({ ...ask, headers: { "accept-encoding": "gzip" } });
    expect(answer.headers["content-encoding"]).toBe("gzip");
    expect(JSON.parse(gunzipSync(answer.rawPayload).toString())).toMatchObject({ data: { packs: {} } });
  });
});

describe("an answer that must go out as it is", () => {
  const coded = { "accept-encoding": "gzip, br, zstd" };

  it("is that of an event stream", async () => {
    const answer = await app.inject({ url: `/v1/runs/${runs.plain}/events`, headers: { ...coded, ...headers } });
    expect(answer.headers["content-encoding"]).toBeUndefined();
  });

  it("holds a secret beside what the client sent (BREACH: the length of what is compressed tells of it)", async () => {
    const password = "correct horse battery";
    const label = "a".repeat(60);
    const sent = { ...coded, ...headers };
    const made = [
      await app.inject({ method: "POST", url: "/v1/sessions", payload: { handle: "anna", password }, headers: coded }),
      await app.inject({ method: "POST", url: "/v1/keys", payload: { label, scopes: ["read"] }, headers: sent }),
      await app.inject({
        method: "POST",
        url: "/graphql",
        payload: {
          query: `mutation($l: String!) { ${Array.from({ length: 9 }, (_, i) => `k${i}: createKey(input: {label: $l, scopes: [READ]}) { key label }`).join(" ")} }`,
          variables: { l: label },
        },
        headers: sent,
      }),
    ];
    expect(made.at(-1)?.rawPayload.length).toBeGreaterThan(1024);
    for (const { statusCode, headers } of made) {
      expect([statusCode < 300, headers["content-encoding"]]).toEqual([true, undefined]);
    }
  });

  it("is a log that is compressed already", async () => {
    const answer = await app.inject({ url: `/v1/runs/${runs.packed}/log`, headers: { ...coded, ...headers } });
    expect(answer.headers["content-encoding"]).toBeUndefined();
    expect(answer.headers.etag).toMatch(/^"/);
    expect(gunzipSync(answer.rawPayload).equals(Buffer.from(log))).toBe(true);
  });
});

describe("a log", () => {
  const get = (accepted: string | null, more = {}) =>
    read(`/v1/runs/${runs.plain}/log`, accepted, { ...headers, ...more });

  it("has a strong tag and its digest as it is, and a weak tag and the digest of what is within when it is compressed", async () => {
    const [plain, coded] = [await get(null), await get("br")];
    expect(plain.rawPayload.equals(Buffer.from(log))).toBe(true);
    expect(coded.headers["content-encoding"]).toBe("br");
    expect(brotliDecompressSync(coded.rawPayload).equals(Buffer.from(log))).toBe(true);
    expect(plain.headers.etag).toMatch(/^"[0-9a-f]{64}"$/);
    expect(coded.headers.etag).toBe(`W/${plain.headers.etag}`);
    // RFC 9530, 3: Repr-Digest is of the representation with its coding.
    expect(coded.headers["repr-digest"]).toBeUndefined();
    expect(coded.headers["unencoded-digest"]).toBe(plain.headers["repr-digest"]);
  });

  it("is not modified for whoever has it", async () => {
    const tag = String((await get("br")).headers.etag);
    const again = await get("br", { "if-none-match": tag });
    expect([again.statusCode, again.headers.etag]).toEqual([304, tag]);
  });
});
