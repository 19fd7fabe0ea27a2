import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../support/app.js";
import { productOf } from "../support/facts.js";
import { logCase, postForm, register, uploadCase } from "../support/uploads.js";

type Headers = { authorization: string };

let app: TestApp;
let headers: Headers;
beforeAll(async () => {
  app = await startTestApp();
  headers = await app.signIn("writer");
});
afterAll(() => app.close());

const post = (url: string, payload: object) => app.inject({ method: "POST", url, payload, headers });

describe("what is written is data and nothing else:", () => {
  it.each(["' OR '1'='1", "'; DROP TABLE run; --", "$1", "%", "\\", "a'||'b"])("SQL as a name: %s", async (name) => {
    const { id } = (await post("/v1/packs", productOf(name))).json<{ id: string }>();
    expect((await app.inject({ url: `/v1/packs/${id}` })).json()).toMatchObject({ name });
    expect(await app.database.run.count()).toBeGreaterThanOrEqual(0);
  });

  it.each(["../../escape.csv", "..\\..\\escape.csv", "/etc/passwd", "a\r\nset-cookie: b=c.csv", '"; filename="x'])(
    "a path or a header field as the name of a file: %j",
    async (fileName) => {
      const found = logCase("truth-4s-10hz");
      const { packId: _, ...ids } = await register(app, headers, "Files", found);
      const run = { protocol: "full-load", ...ids, ...found.conditions };
      const { status, body } = await postForm(`${app.url}/v1/runs`, run, found.log, { headers, fileName });
      expect([200, 201]).toContain(status);
      const { fileName: kept } = await app.database.run.findUniqueOrThrow({ where: { id: body.id } });
      expect(kept).not.toMatch(/[/\\\r\n]/);
      const log = await app.inject({ url: `/v1/runs/${body.id}/log`, headers });
      expect(log.headers["set-cookie"]).toBeUndefined();
    },
  );

  it("no text of a person gets into a table for spreadsheets", async () => {
    const { body } = await uploadCase(app, headers, "=HYPERLINK(1)", "plain-20hz");
    const csv = await app.inject({ url: `/v1/runs/${body.id}/trace`, headers: { ...headers, accept: "text/csv" } });
    // RFC 4180 rows of numbers under a fixed header: no cell can begin a formula.
    for (const cell of csv.body.trimEnd().split("\r\n").slice(1).join(",").split(",")) {
      expect(cell).toMatch(/^-?\d+(\.\d+)?(e[-+]\d+)?$/);
    }
  });

  it.each([
    ["a mark of writing direction", "Volt\u202egnidnA"],
    ["an isolate", "Volt\u2066x"],
    ["a space of no width", "Volt\u200bAnding"],
    ["a joiner", "Volt\u200dAnding"],
    ["a soft hyphen", "Volt\u00adAnding"],
    ["a filler", "Volt\u3164"],
    ["a line separator", "Volt\u2028Anding"],
  ])("a name with %s is refused", async (_, name) => {
    const answer = await post("/v1/packs", productOf(name));
    expect([answer.statusCode, answer.json<{ errors: { pointer: string }[] }>().errors[0]?.pointer]).toEqual([
      422,
      "/name",
    ]);
  });

  it.each(["Čelada 4S – 90 C", "電池 5000", "Ångström ½", "O'Neill & Söhne"])(
    "a name of any script is taken: %s",
    async (name) => {
      expect((await post("/v1/packs", productOf(name))).statusCode).toBe(201);
    },
  );
});

describe("a browser", () => {
  it("is told to do no more with an answer than it is for, and sends no credentials by itself", async () => {
    const answer = await app.inject({ url: "/v1/packs", headers: { origin: "https://elsewhere.example" } });
    expect(answer.headers).toMatchObject({
      "x-content-type-options": "nosniff",
      "x-frame-options": "DENY",
      "content-security-policy": expect.stringContaining("frame-ancestors 'none'"),
      "referrer-policy": "no-referrer",
    });
    // Fetch Standard, 3.3.3: without this field no browser shows an answer to a request that it sent credentials with.
    expect(answer.headers["access-control-allow-credentials"]).toBeUndefined();
    const token = headers.authorization.slice("Bearer ".length);
    const byCookie = await app.inject({ url: "/v1/accounts/me", headers: { cookie: `token=${token}` } });
    expect(byCookie.statusCode).toBe(401);
    expect((await app.inject({ url: `/v1/accounts/me?access_token=${token}` })).statusCode).toBe(401);
  });
});
