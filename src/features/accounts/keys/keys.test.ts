import { createHash } from "node:crypto";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";

type Headers = { authorization: string };

let app: TestApp;
let session: Headers;
beforeAll(async () => {
  app = await startTestApp();
  session = await app.signIn("keeper", "administrator");
});
afterAll(() => app.close());

const ask = (method: "GET" | "POST" | "PUT" | "DELETE", url: string, headers: Headers, payload?: object) =>
  app.inject({ method, url, headers, ...(payload ? { payload } : {}) });

async function makeKey(scopes: readonly string[], headers = session) {
  const answer = await ask("POST", "/v1/keys", headers, { label: "dashboard", scopes });
  expect(answer.statusCode).toBe(201);
  const { id, key } = answer.json<{ id: string; key: string }>();
  return { id, key, headers: { authorization: `Bearer ${key}` } };
}

describe("a key", () => {
  it("is shown once and stored as its hash", async () => {
    const { id, key } = await makeKey(["read"]);
    const stored = await app.database.apiKey.findUniqueOrThrow({ where: { id } });
    expect(Buffer.from(stored.keyHash).toString("hex")).toBe(createHash("sha256").update(key).digest("hex"));
    const list = await ask("GET", "/v1/keys", session);
    expect(list.json<{ items: { id: string }[] }>().items.map((item) => item.id)).toContain(id);
    expect(list.body).not.toContain(key);
  });

  it("notes when it was used last", async () => {
    const { id, headers } = await makeKey(["read"]);
    expect((await app.database.apiKey.findUniqueOrThrow({ where: { id } })).lastUsedAt).toBeNull();
    expect((await ask("GET", "/v1/accounts/me", headers)).json()).toMatchObject({ handle: "keeper", role: "tester" });
    expect((await app.database.apiKey.findUniqueOrThrow({ where: { id } })).lastUsedAt).not.toBeNull();
  });

  it.each([
    ["read", "GET", "/v1/benches", 200],
    ["read", "POST", "/v1/benches", 403],
    ["read", "GET", "/v1/reviews", 403],
    ["write", "GET", "/v1/benches", 403],
    ["write", "POST", "/v1/benches", 422],
    ["review", "GET", "/v1/reviews", 200],
    ["read", "GET", "/v1/keys", 403],
    ["write", "POST", "/v1/keys", 403],
    ["write", "POST", "/v1/accounts/me/erasure", 403],
    ["write", "PUT", "/v1/accounts/01a2122e-e1a4-753d-899e-c914096834c6/role", 403],
  ] as const)("with the scope %s: %s %s is answered %i", async (scope, method, url, status) => {
    const { headers } = await makeKey([scope]);
    expect((await ask(method, url, headers, method === "GET" ? undefined : {})).statusCode).toBe(status);
  });

  it("is held to its scopes in GraphQL too", async () => {
    const { headers } = await makeKey(["read"]);
    expect((await app.graphql("{ me { handle } }", { headers })).body.data).toEqual({ me: { handle: "keeper" } });
    const { body } = await app.graphql('mutation { deleteKey(id: "x") }', { headers });
    expect(body.errors?.[0]?.extensions.code).toBe("scope-required");
  });

  // RFC 6750, 3 and 3.1.
  it.each([
    [["read"], "POST", "/v1/benches", ', error="insufficient_scope", scope="write"', "write"],
    [["write"], "GET", "/v1/benches", ', error="insufficient_scope", scope="read"', "read"],
    [["read", "write"], "GET", "/v1/reviews", ', error="insufficient_scope", scope="review"', "review"],
    [["read"], "GET", "/v1/keys", ', error="insufficient_scope"', undefined],
  ] as const)("with the scopes %j is told by %s %s which one it lacks", async (scopes, method, url, error, scope) => {
    const { headers } = await makeKey(scopes);
    const answer = await ask(method, url, headers, method === "GET" ? undefined : {});
    expect(answer.headers["www-authenticate"]).toBe(`Bearer realm="packledger"${error}`);
    expect(answer.json<{ scope?: string }>().scope).toBe(scope);
  });

  it("is told so over GraphQL too, where the status says how the operation went", async () => {
    const { headers } = await makeKey(["read"]);
    const answer = await app.inject({
      method: "POST",
      url: "/graphql",
      headers: { ...headers, accept: "application/graphql-response+json" },
      payload: { query: 'mutation { deleteKey(id: "x") }' },
    });
    expect(answer.headers["www-authenticate"]).toContain('error="insufficient_scope"');
  });

  it("gives nobody the role of another, nor more than the account has", async () => {
    const tester = await app.signIn("plain");
    const { headers } = await makeKey(["read", "write", "review"], tester);
    expect((await ask("GET", "/v1/reviews", headers)).json()).toMatchObject({ type: "/problems/role-required" });
  });

  it("is good for nothing once it was deleted, and nobody deletes another's", async () => {
    const { id, headers } = await makeKey(["read"]);
    const other = await app.signIn("other");
    expect((await ask("DELETE", `/v1/keys/${id}`, other)).statusCode).toBe(404);
    expect((await ask("DELETE", `/v1/keys/${id}`, session)).statusCode).toBe(204);
    expect((await ask("GET", "/v1/packs", headers)).statusCode).toBe(401);
  });

  it.each([
    ["/label", { label: "", scopes: ["read"] }],
    ["/label", { label: "dash\u202eboard", scopes: ["read"] }],
    ["/scopes", { label: "x", scopes: [] }],
    ["/scopes", { label: "x", scopes: ["read", "read"] }],
    ["/scopes", { label: "x", scopes: ["everything"] }],
  ])("is refused for a fault in %s", async (pointer, payload) => {
    const answer = await ask("POST", "/v1/keys", session, payload);
    expect([answer.statusCode, answer.json<{ errors: { pointer: string }[] }>().errors[0]?.pointer]).toEqual([
      422,
      pointer,
    ]);
  });

  it("is one of twenty at most, even when many are made at once", async () => {
    const maker = await app.signIn("maker");
    const answers = await Promise.all(
      Array.from({ length: 24 }, () => ask("POST", "/v1/keys", maker, { label: "x", scopes: ["read"] })),
    );
    expect(answers.filter(({ statusCode }) => statusCode === 201)).toHaveLength(20);
    expect(new Set(answers.map(({ statusCode }) => statusCode))).toEqual(new Set([201, 409]));
  });
});
