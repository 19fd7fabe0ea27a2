import { connect } from "node:net";
import { text as streamText } from "node:stream/consumers";
import { gzipSync } from "node:zlib";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { productOf } from "../../../test/support/facts.js";

let app: TestApp;
let headers: { authorization: string };
beforeAll(async () => {
  app = await startTestApp();
  headers = await app.signIn("holder");
});
afterAll(() => app.close());

const json = { "content-type": "application/json" };
const pack = productOf("Any");

interface Sent {
  readonly method?: "GET" | "POST" | "PUT" | "DELETE";
  readonly url?: string;
  readonly headers?: Record<string, string>;
  readonly payload?: string | Buffer;
}

async function problemOf(sent: Sent) {
  const { headers: fields, ...rest } = { method: "POST" as const, url: "/v1/packs", headers: json, ...sent };
  const answer = await app.inject({ ...rest, headers: { ...fields, ...headers } });
  expect(answer.headers["content-type"]).toMatch(/^application\/problem\+json/);
  const body = answer.json<{ type: string; status: number; errors?: { pointer: string }[] }>();
  // RFC 9457, 3.1.2: the status in the body is the status of the answer.
  expect(body.status).toBe(answer.statusCode);
  const pointers = (body.errors ?? []).map(({ pointer }) => `#${pointer}`);
  return [body.status, body.type.replace("/problems/", ""), ...pointers].join(" ");
}

function withPack(changes: object): string {
  return JSON.stringify({ ...pack, ...changes });
}

/** The status of the answer to bytes that are sent as they are. */
async function rawStatus(head: string): Promise<number> {
  const { hostname, port } = new URL(app.url);
  const socket = connect(Number(port), hostname);
  socket.end(head);
  let answer = "";
  for await (const read of socket) answer += String(read);
  return Number(answer.split(" ")[1]);
}

const nested = `${'{"a":'.repeat(20_000)}1${"}".repeat(20_000)}`;

describe("what a client sends wrong", () => {
  it.each<[string, Sent, string]>([
    ["an address that nothing has", { method: "GET", url: "/v1/nothing" }, "404 not-found"],
    ["a slash behind an id", { method: "GET", url: "/v1/packs/any/" }, "404 not-found"],
    ["a method that the address has not", { method: "DELETE" }, "405 method-not-allowed"],
    ["an address that cannot be decoded", { method: "GET", url: "/v1/packs/%E0%A4%A" }, "400 malformed-request"],
    ["half a JSON document", { payload: '{"maker' }, "400 malformed-body"],
    ["a body of no bytes", { payload: "" }, "400 malformed-body"],
    ["bytes that are not UTF-8", { payload: Buffer.from([0xff, 0xfe, 0x00]) }, "400 malformed-body"],
    ["text of ISO 8859-1", { payload: Buffer.from('{"maker":"K\u00f6hler"}', "latin1") }, "400 malformed-body"],
    [
      "a part of JSON that is text of ISO 8859-1",
      {
        url: "/v1/checks",
        headers: { "content-type": "multipart/form-data; boundary=b" },
        payload: Buffer.from(
          '--b\r\ncontent-disposition: form-data; name="run"; filename="run.json"\r\n\r\n{"label":"K\u00f6hler"}\r\n--b--\r\n',
          "latin1",
        ),
      },
      "400 malformed-body",
    ],
    [
      "a body that is compressed as a whole",
      { payload: gzipSync('{"maker":"Halden"}'), headers: { ...json, "content-encoding": "gzip" } },
      "415 unsupported-media-type",
    ],
    ["a prototype in JSON", { payload: '{"__proto__":{"role":"administrator"}}' }, "400 malformed-body"],
    ["a constructor in JSON", { payload: '{"constructor":1}' }, "422 invalid-input #/constructor"],
    ["plain text", { payload: "maker", headers: { "content-type": "text/plain" } }, "415 unsupported-media-type"],
    [
      "a form",
      { payload: "a=1", headers: { "content-type": "application/x-www-form-urlencoded" } },
      "415 unsupported-media-type",
    ],
    ["a media type that is none", { payload: "{}", headers: { "content-type": "?" } }, "415 unsupported-media-type"],
    ["more JSON than is taken", { payload: `"${"a".repeat(300_000)}"` }, "413 too-large"],
    ["JSON nested too deep", { payload: nested }, "422 invalid-input #"],
    ["a list instead of an object", { payload: "[]" }, "422 invalid-input #"],
    ["a number instead of an object", { payload: "7" }, "422 invalid-input #"],
    [
      "null",
      { payload: "null" },
      "422 invalid-input #/maker #/name #/chemistry #/series #/parallel #/ratedCapacityMah",
    ],
    ["a member that is not known", { payload: withPack({ "a/b~c": 1 }) }, "422 invalid-input #/a~1b~0c"],
    ["NUL in text", { payload: withPack({ name: "a\u0000b" }) }, "422 invalid-input #/name"],
    ["half a character in text", { payload: withPack({ name: "\ud83d" }) }, "422 invalid-input #/name"],
    ["NUL in a member's name", { payload: withPack({ "a\u0000": 1 }) }, "422 invalid-input #/a\u0000"],
    ["only white space", { payload: withPack({ name: " \t " }) }, "422 invalid-input #/name"],
    ["text for a number", { payload: withPack({ series: "4" }) }, "422 invalid-input #/series"],
    ["a fraction for a whole number", { payload: withPack({ series: 4.5 }) }, "422 invalid-input #/series"],
    ["a number beyond all", { payload: withPack({}).replace("5000", "1e999") }, "422 invalid-input #/ratedCapacityMah"],
    [
      "a number that is not allowed",
      { payload: withPack({ ratedCapacityMah: 0 }) },
      "422 invalid-input #/ratedCapacityMah",
    ],
    ["a word that is none of the few", { payload: withPack({ chemistry: "nimh" }) }, "422 invalid-input #/chemistry"],
    ["an id that was never given", { method: "GET", url: "/v1/packs/4" }, "404 not-found"],
    ["NUL in an id", { method: "GET", url: "/v1/packs/%00" }, "404 not-found"],
    ["a cursor that is none", { method: "GET", url: "/v1/packs?after=W10" }, "400 invalid-cursor #/after"],
    ["a page of no items", { method: "GET", url: "/v1/packs?first=0" }, "422 invalid-input #/first"],
    ["a page of too many", { method: "GET", url: "/v1/packs?first=101" }, "422 invalid-input #/first"],
    ["a parameter twice", { method: "GET", url: "/v1/packs?first=1&first=2" }, "422 invalid-input #/first"],
    ["a parameter that is not known", { method: "GET", url: "/v1/packs?colour=red" }, "422 invalid-input #/colour"],
  ])("%s", async (_, sent, problem) => {
    expect(await problemOf(sent)).toBe(problem);
  });

  it("a session that is none", async () => {
    const answer = await app.inject({ url: "/v1/packs", headers: { authorization: "Bearer me" } });
    expect(answer.statusCode).toBe(401);
    expect(answer.json()).toMatchObject({ type: "/problems/invalid-session" });
    expect(answer.headers["www-authenticate"]).toBe('Bearer realm="packledger", error="invalid_token"');
    // RFC 6750, 3.1: who sent nothing to authenticate with is told no error.
    const without = await app.inject({ url: "/v1/benches" });
    expect(without.headers["www-authenticate"]).toBe('Bearer realm="packledger"');
  });

  // RFC 9110, 15.5.15: the server refuses the length of the target; RFC 6585, 5: of the fields, one or all of them.
  it.each([
    ["a target", (long: string) => `GET /v1/packs?search=${long} HTTP/1.1\r\nHost: a\r\n\r\n`, 414],
    ["a field", (long: string) => `GET /v1/packs HTTP/1.1\r\nHost: a\r\nX-Long: ${long}\r\n\r\n`, 431],
    [
      "all fields",
      (long: string) => `GET / HTTP/1.1\r\nHost: a\r\n${`X: ${long.slice(0, 900)}\r\n`.repeat(20)}\r\n`,
      431,
    ],
  ])("%s that is too long", async (_, headOf, status) => {
    expect(await rawStatus(headOf("x".repeat(20_000)))).toBe(status);
  });

  it("an address that nothing has, of which a browser is shown a page", async () => {
    const accept = "text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8";
    for (const url of ["/nothing", "/v1/nothing", "/packs/any/more"]) {
      const page = await app.inject({ url, headers: { accept } });
      expect([url, page.statusCode, page.headers["content-type"]]).toEqual([url, 404, "text/html; charset=utf-8"]);
      expect(page.body).toContain("There is no such page");
      expect(page.headers.vary).toMatch(/accept/i);
      for (const other of ["application/json", "*/*"]) {
        expect((await app.inject({ url, headers: { accept: other } })).json()).toMatchObject({ code: "not-found" });
      }
    }
    expect((await app.inject({ url: "/v1/checks", headers: { accept } })).statusCode).toBe(405);
  });

  it("what is not HTTP", async () => {
    const { port, hostname } = new URL(app.url);
    const answer = await new Promise<string>((resolve, reject) => {
      const socket = connect(Number(port), hostname, () => socket.write("NONSENSE\r\n\r\n"));
      let text = "";
      socket.on("data", (bytes) => {
        text += bytes.toString();
      });
      socket.on("close", () => resolve(text));
      socket.on("error", reject);
    });
    expect(answer).toMatch(/^HTTP\/1\.1 400 /);
    expect(answer).toContain('"type":"/problems/malformed-request"');
  });

  it("with the fields of every answer, also where no address or no request could be read", async () => {
    const origin = "https://example.org";
    const usual = (await app.inject({ url: "/v1/secrets", headers: { origin } })).headers;
    const ofAll = Object.keys(usual).filter((name) =>
      /^(access-control|cross-origin|content-security|origin|referrer|strict|x)-/.test(name),
    );
    expect(ofAll).toEqual(expect.arrayContaining(["x-request-id", "access-control-allow-origin", "x-frame-options"]));
    const sent = [
      "NONSENSE\r\n\r\n",
      `GET /v1/packs/%E0%A4%A HTTP/1.1\r\nhost: localhost\r\norigin: ${origin}\r\nconnection: close\r\n\r\n`,
      `GET /v1/packs HTTP/1.1\r\nhost: localhost\r\nx-long: ${"a".repeat(20_000)}\r\n\r\n`,
    ];
    const { port, hostname } = new URL(app.url);
    for (const text of sent) {
      const socket = connect(Number(port), hostname, () => socket.write(text));
      const [head = "", body = ""] = (await streamText(socket)).split("\r\n\r\n");
      const fields = new Headers(
        head
          .split("\r\n")
          .slice(1)
          .map((line) => line.split(/: (.*)/s).slice(0, 2) as [string, string]),
      );
      const id = fields.get("x-request-id");
      expect(body).toContain(`"instance":"urn:uuid:${id}"`);
      for (const name of ofAll)
        if (name !== "x-request-id") expect([name, fields.get(name)]).toEqual([name, usual[name]]);
    }
  });
});

describe("reads", () => {
  it("carry an entity tag, and are answered 304 to a client that has them", async () => {
    const first = await app.inject({ url: "/v1/packs" });
    const etag = String(first.headers.etag);
    expect(first.headers["cache-control"]).toBe("public, no-cache");
    const again = await app.inject({ url: "/v1/packs", headers: { "if-none-match": `"other", ${etag}` } });
    expect(again.statusCode).toBe(304);
    expect(again.body).toBe("");
    // RFC 9110, 15.4.5: a 304 carries the tag and the rule for caches that a 200 would.
    expect(again.headers).toMatchObject({ etag, "cache-control": "public, no-cache" });
    await app.inject({ method: "POST", url: "/v1/packs", payload: pack, headers });
    const changed = await app.inject({ url: "/v1/packs", headers: { "if-none-match": etag } });
    expect(changed.statusCode).toBe(200);
  });

  it("are private when they were asked for with a session", async () => {
    const answer = await app.inject({ url: "/v1/benches", headers });
    expect(answer.headers["cache-control"]).toBe("private, no-cache");
  });
});

describe("operation", () => {
  it("is live, ready, and says where to look", async () => {
    expect((await app.inject({ url: "/health/live" })).json()).toEqual({ status: "live" });
    expect((await app.inject({ url: "/health/ready" })).json()).toEqual({ status: "ready" });
    expect((await app.inject({ url: "/" })).json()).toMatchObject({ links: { documentation: "/docs" } });
  });

  it("lists every problem and shows each where its type points", async () => {
    const { items } = (await app.inject({ url: "/problems" })).json<{ items: { code: string }[] }>();
    expect(items.map(({ code }) => code)).toContain("not-found");
    expect((await app.inject({ url: "/problems/not-found" })).json()).toMatchObject({ status: 404 });
    expect((await app.inject({ url: "/problems/toString" })).statusCode).toBe(404);
  });

  it("serves the page of its documentation without help from elsewhere", async () => {
    const page = await app.inject({ url: "/docs/" });
    expect(page.statusCode).toBe(200);
    const sources = [...page.body.matchAll(/(?:src|href)="([^"#]+)"/g)].map((match) => match[1] ?? "");
    expect(sources).toContain("./swagger-ui-bundle.js");
    for (const source of sources) {
      expect(source).toMatch(/^\.\//);
      expect((await app.inject({ url: `/docs/${source}` })).statusCode).toBe(200);
    }
  });

  it("describes itself by OpenAPI 3.1, in which nothing is nullable but by its types", async () => {
    const { body } = await app.inject({ url: "/openapi.json" });
    expect(JSON.parse(body)).toMatchObject({
      openapi: "3.1.0",
      components: { schemas: { PackView: { properties: { massGrams: { type: ["number", "null"] } } } } },
    });
    // OpenAPI 3.1 takes JSON Schema 2020-12, which has no `nullable`.
    expect(body).not.toContain('"nullable"');
  });
});
