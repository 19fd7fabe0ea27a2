import { randomUUID } from "node:crypto";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import request from "supertest";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { productOf } from "../../../test/support/facts.js";
import { logCase, postForm, register } from "../../../test/support/uploads.js";

let app: TestApp;
let anna: { authorization: string };
let bert: { authorization: string };
beforeAll(async () => {
  app = await startTestApp();
  anna = await app.signIn("anna");
  bert = await app.signIn("bert");
});
afterAll(() => app.close());

async function post(url: string, payload: object, key: string | null, session: object = anna) {
  const headers = { ...session, ...(key === null ? {} : { "idempotency-key": key }) };
  const { statusCode: status, headers: fields, body } = await app.inject({ method: "POST", url, payload, headers });
  const code = status < 400 ? null : (JSON.parse(body) as { type: string }).type.slice("/problems/".length);
  return { status, code, body, location: fields.location, replayed: fields["idempotency-replayed"], fields };
}

const freshKey = () => `"${randomUUID()}"`;

describe("a POST with an Idempotency-Key", () => {
  it("is done once, and its retry gets the stored status, body and Location, marked as such", async () => {
    const key = freshKey();
    const first = await post("/v1/packs", productOf("Once"), key);
    const again = await post("/v1/packs", productOf("Once"), key);
    expect([first.status, first.replayed]).toEqual([201, undefined]);
    expect(again).toMatchObject({ status: 201, body: first.body, location: first.location, replayed: "?1" });
    expect(first.location).toBe(`/v1/packs/${JSON.parse(first.body).id}`);
  });

  it("refuses another payload, and another path, under the same key", async () => {
    const key = freshKey();
    await post("/v1/packs", productOf("First"), key);
    expect(await post("/v1/packs", productOf("Second"), key)).toMatchObject({
      status: 422,
      code: "idempotency-key-reused",
    });
    expect(await post("/v1/benches", productOf("First"), key)).toMatchObject({ code: "idempotency-key-reused" });
  });

  it("shares no key with another account", async () => {
    const key = freshKey();
    const mine = await post("/v1/packs", productOf("Shared key"), key);
    const theirs = await post("/v1/packs", productOf("Shared key"), key, bert);
    expect([mine.status, theirs.status, theirs.code]).toEqual([201, 409, "already-exists"]);
  });

  it("gives a lasting refusal again, and tries again what may pass", async () => {
    const key = freshKey();
    const faulty = await post("/v1/packs", { ...productOf("Faulty"), series: 0 }, key);
    const again = await post("/v1/packs", { ...productOf("Faulty"), series: 0 }, key);
    expect([faulty.status, again.status, again.replayed, again.body]).toEqual([422, 422, "?1", faulty.body]);
    expect(again.fields["content-type"]).toContain("application/problem+json");
    const other = freshKey();
    await post("/v1/packs", productOf("Taken"), null, bert);
    const refusals = [
      await post("/v1/packs", productOf("Taken"), other),
      await post("/v1/packs", productOf("Taken"), other),
    ];
    expect(refusals.map(({ code, replayed }) => [code, replayed])).toEqual(
      Array(2).fill(["already-exists", undefined]),
    );
  });

  it("does not keep what a service's fault answered", async () => {
    const key = freshKey();
    await app.database.$executeRaw`ALTER TABLE specimen RENAME TO specimen_away`;
    const specimen = {
      packId: JSON.parse((await post("/v1/packs", productOf("InputError"), null)).body).id,
      label: "a",
      cycles: 0,
    };
    const failed = await post("/v1/specimens", specimen, key);
    await app.database.$executeRaw`ALTER TABLE specimen_away RENAME TO specimen`;
    expect(failed.status).toBeGreaterThanOrEqual(500);
    expect(await post("/v1/specimens", specimen, key)).toMatchObject({ status: 201, replayed: undefined });
  });

  it.each([
    ["/v1/keys", { label: "once", scopes: ["read"] }],
    ["/v1/webhooks", { url: "https://example.com/once" }],
  ])("makes no second secret, which is shown once: %s", async (url, payload) => {
    const key = freshKey();
    const first = await post(url, payload, key);
    const again = await post(url, payload, key);
    expect([first.status, again.status, again.code, again.replayed]).toEqual([201, 409, "already-exists", "?1"]);
    const { items } = (await app.inject({ url, headers: anna })).json<{ items: { id: string }[] }>();
    expect(items.map(({ id }) => id)).toEqual([JSON.parse(first.body).id]);
    const { key: made = "", secret = made } = JSON.parse(first.body) as { key?: string; secret?: string };
    expect(secret.length).toBeGreaterThan(20);
    const stored = await app.database.idempotencyKey.findMany();
    expect(JSON.stringify(stored.map(({ body }) => String(body)))).not.toContain(secret);
  });

  it("is done once when it comes several times at once", async () => {
    const key = freshKey();
    const answers = await Promise.all(Array.from({ length: 6 }, () => post("/v1/packs", productOf("Sixfold"), key)));
    expect(answers.filter(({ status, replayed }) => status === 201 && !replayed)).toHaveLength(1);
    for (const { status, code, replayed, fields } of answers.filter((answer) => answer.status !== 201)) {
      expect([status, code, replayed, fields["retry-after"]]).toEqual([409, "idempotency-key-in-use", undefined, "1"]);
    }
  });

  // RFC 9110, 12.5.1 and 15.3.5: Accept chooses a representation, and a 204 has none.
  it("takes any Accept where the answer has no body, and gives that again", async () => {
    const { id: accountId } = await app.database.account.findFirstOrThrow({ where: { handle: "anna" } });
    const url = "https://receiver.example";
    const webhook = { accountId, url, kinds: [], secret: Buffer.alloc(32) };
    const { id: webhookId } = await app.database.webhook.create({ data: webhook });
    const given = { webhookId, type: "notice.question", body: "{}", failedAt: new Date() };
    const { id } = await app.database.webhookDelivery.create({ data: given });
    const path = `/v1/webhooks/${webhookId}/failures/${id}/resend`;
    const key = freshKey();
    const first = await post(path, {}, key, { ...anna, accept: "text/plain" });
    expect([first.status, first.body]).toEqual([204, ""]);
    const again = await post(path, {}, key, { ...anna, accept: "text/plain" });
    expect([again.status, again.body, again.replayed]).toEqual([204, "", "?1"]);
    for (const { fields } of [first, again]) expect(fields).not.toHaveProperty("content-type");
  });

  // Forms from RFC 9651, 3.3.3 and 4.2.5: a String is quoted, escapes only \" and \\, and holds printable ASCII.
  it.each([
    ["no text", '""'],
    ["256 characters without quotation marks", "k".repeat(256)],
    ["words without quotation marks", "once more"],
    ["256 characters", `"${"k".repeat(256)}"`],
    ["an unknown escape", '"a\\b"'],
    ["an open quote", '"abc'],
    ["two values", '"a", "b"'],
    ["two values without quotation marks", "a, b"],
    ["a control character", '"a\tb"'],
  ])("is refused for %s as a key", async (_, key) => {
    expect(await post("/v1/packs", productOf("Malformed"), key)).toMatchObject({
      status: 400,
      code: "invalid-idempotency-key",
    });
  });

  it.each([
    ["255 characters", `"${"k".repeat(255)}"`],
    ["escapes", '"say \\"once\\" \\\\"'],
    ["a UUID without quotation marks", "8e03978e-40d5-43dd-bc93-6894a57f9324"],
    ["the greatest length, bare", "m".repeat(255)],
    ["a parameter, which says nothing here", '"with a parameter";a=1'],
  ])("takes a key of %s", async (name, key) => {
    expect((await post("/v1/packs", productOf(`Key of ${name}`), key)).status).toBe(201);
    expect((await post("/v1/packs", productOf(`Key of ${name}`), key)).replayed).toBe("?1");
  });

  it("is the same key with quotation marks and without", async () => {
    const payload = productOf("Marked");
    expect((await post("/v1/packs", payload, '"one-key"')).replayed).toBeUndefined();
    expect((await post("/v1/packs", payload, "one-key")).replayed).toBe("?1");
  });

  it("checks its form at every POST of the REST API", async () => {
    const { paths } = (await app.inject({ method: "GET", url: "/openapi.json" })).json<{ paths: object }>();
    const posts = Object.entries(paths).filter(([, operations]) => "post" in operations);
    expect(posts.map(([path]) => path)).toContain("/v1/runs");
    const admin = await app.signIn("ada", "administrator");
    for (const [path] of posts) {
      const answer = await post(path.replaceAll(/\{\w+\}/g, randomUUID()), {}, "two words", admin);
      expect([path, answer.code]).toEqual([path, "invalid-idempotency-key"]);
    }
  });
});

it("a body nested too deep to be told from another is refused, not a fault of the service", async () => {
  const deep = `${"[".repeat(60_000)}${"]".repeat(60_000)}`;
  const key = { ...anna, "idempotency-key": freshKey(), "content-type": "application/json" };
  const json = await app.inject({ method: "POST", url: "/v1/packs", payload: `{"maker":${deep}}`, headers: key });
  expect(json.statusCode).toBe(422);
  for (const type of ["text/plain", "application/json"]) {
    const answer = await request(app.url)
      .post("/v1/runs")
      .set({ ...anna, "idempotency-key": freshKey() })
      .field("run", `{"a":${deep.slice(30_000, -30_000)}}`, { contentType: type })
      .attach("log", Buffer.from("x"), "log.csv");
    expect(answer.status).toBe(422);
  }
});

describe("without a session", () => {
  const credentials = { handle: "carol", password: "a long enough secret" };

  it("a registration is done once", async () => {
    const key = freshKey();
    const first = await post("/v1/accounts", credentials, key, {});
    const again = await post("/v1/accounts", credentials, key, {});
    expect([first.status, again.status, again.body, again.replayed]).toEqual([201, 201, first.body, "?1"]);
    const other = await post("/v1/accounts", { ...credentials, password: "another long secret" }, key, {});
    expect(other.code).toBe("idempotency-key-reused");
  });

  it("a session's token is stored nowhere: each request opens a session of its own", async () => {
    const key = freshKey();
    const [one, two] = [
      await post("/v1/sessions", credentials, key, {}),
      await post("/v1/sessions", credentials, key, {}),
    ];
    expect([one.status, two.status, two.replayed]).toEqual([201, 201, undefined]);
    expect(JSON.parse(two.body).token).not.toBe(JSON.parse(one.body).token);
    const kept = JSON.stringify(await app.database.idempotencyKey.findMany());
    for (const { body } of [one, two]) expect(kept).not.toContain(JSON.parse(body).token);
  });
});

describe("an upload with an Idempotency-Key", () => {
  const found = logCase("plain-20hz");
  const send = async (key: string, log: Uint8Array<ArrayBuffer>, more: object = {}) => {
    const { packId: _, ...ids } = await register(app, anna, "Keyed", found);
    const run = { protocol: "full-load", ...ids, ...found.conditions, ...more };
    const headers = { ...anna, "idempotency-key": key } as { authorization: string };
    return postForm(`${app.url}/v1/runs`, run, log, { headers });
  };

  it("is told by what it declares and by the bytes of its log", async () => {
    const key = freshKey();
    const first = await send(key, found.log);
    const again = await send(key, found.log);
    expect([first.status, again.status, again.body]).toEqual([201, 201, first.body]);
    expect(again.headers.location).toBe(first.headers.location);
    expect(again.headers["idempotency-replayed"]).toBe("?1");
    const longer = Uint8Array.from([...found.log, 0x0a]);
    for (const other of [await send(key, longer), await send(key, found.log, { ambientC: 22 })]) {
      expect([other.status, other.body.type]).toEqual([422, "/problems/idempotency-key-reused"]);
    }
  });
});
