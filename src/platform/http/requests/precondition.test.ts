import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";
import { productOf } from "../../../../test/support/facts.js";

let app: TestApp;
let headers: { authorization: string };
let keyId: string;
beforeAll(async () => {
  app = await startTestApp();
  headers = await app.signIn("anna");
  keyId = (await ask("POST", "/v1/keys", { label: "k", scopes: ["read"] })).json<{ id: string }>().id;
});
afterAll(() => app.close());

type Method = "POST" | "PUT" | "PATCH" | "DELETE";

const ask = (method: Method, url: string, payload?: object, condition?: string) =>
  app.inject({
    method,
    url,
    headers: { ...headers, ...(condition === undefined ? {} : { "if-match": condition }) },
    ...(payload ? { payload } : {}),
  });

// RFC 9110, 13.1.1 and 8.8.3.2: If-Match compares strongly, so that a weak tag matches nothing, and `*` whatever there is.
describe("a change under If-Match", () => {
  it.each<[Method, () => string, object | undefined]>([
    ["POST", () => "/v1/packs", productOf("Conditional")],
    ["POST", () => "/v1/accounts", { handle: "nora", password: "a long enough secret" }],
    ["POST", () => "/v1/notices/read", {}],
    [
      "PUT",
      () => "/v1/accounts/me/password",
      { password: "correct horse battery", newPassword: "violet harbour lamp" },
    ],
    ["PATCH", () => "/v1/notices/00000000-0000-7000-8000-000000000000", { read: true }],
    ["DELETE", () => `/v1/keys/${keyId}`, undefined],
  ])("is not performed where that is false: %s %#", async (method, url, payload) => {
    for (const condition of ['"no-such"', 'W/"a", "b"', ""]) {
      const answer = await ask(method, url(), payload, condition);
      expect([answer.statusCode, answer.json<{ code: string }>().code]).toEqual([412, "precondition-failed"]);
    }
  });

  it("leaves everything as it was, and is performed for *", async () => {
    expect(await app.database.apiKey.count()).toBe(1);
    expect(await app.database.pack.count()).toBe(0);
    expect(await app.database.account.count({ where: { handle: "nora" } })).toBe(0);
    expect((await ask("DELETE", `/v1/keys/${keyId}`, undefined, "*")).statusCode).toBe(204);
  });

  it("is refused in GraphQL too, where it is a mutation", async () => {
    const conditional = { ...headers, "if-match": '"no-such"' };
    const change = await app.graphql("mutation { readNotices(input: {}) { unreadCount } }", { headers: conditional });
    expect(change.body.errors?.map(({ extensions }) => extensions.code)).toEqual(["precondition-failed"]);
    const read = await app.graphql("{ unreadNotices }", { headers: conditional });
    expect(read.body).toEqual({ data: { unreadNotices: 0 } });
  });

  it("is refused as without it where nobody may make it", async () => {
    const answer = await app.inject({ method: "POST", url: "/v1/packs", payload: {}, headers: { "if-match": '"a"' } });
    expect(answer.statusCode).toBe(401);
  });
});
