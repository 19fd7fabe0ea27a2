import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { type GraphqlBody, startTestApp, type TestApp } from "../../../test/support/app.js";

let app: TestApp;
beforeAll(async () => {
  app = await startTestApp();
});
afterAll(() => app.close());

async function send(
  payload: string | object,
  headers: Record<string, string> = {
    "content-type": "application/json",
    accept: "application/graphql-response+json",
  },
) {
  const answer = await app.inject({ method: "POST", url: "/graphql", payload, headers });
  const codes = answer.json<GraphqlBody>().errors?.map(({ extensions }) => extensions.code);
  return { status: answer.statusCode, codes };
}

describe("what a client sends wrong", () => {
  it.each<[string, string | object, number, string]>([
    ["half a JSON document", '{"query', 400, "malformed-body"],
    ["a document with a mistake in its grammar", { query: "{ me {" }, 400, "malformed-query"],
    ["no document", {}, 400, "malformed-query"],
    ["a field that no type has", { query: "{ me { colour } }" }, 400, "malformed-query"],
    ["several documents at once", [{ query: "{ me { id } }" }], 400, "malformed-query"],
    [
      "a fragment inside itself",
      { query: "{ me { ...F } } fragment F on Account { id ...F }" },
      400,
      "malformed-query",
    ],
    ["an operation that is not there", { query: "query A { me { id } }", operationName: "B" }, 400, "malformed-query"],
    [
      "a variable of another type",
      { query: "query($n: Int) { packs(first: $n) { edges { cursor } } }", variables: { n: "x" } },
      400,
      "malformed-query",
    ],
    ["an argument out of range", { query: "{ packs(first: 1000) { edges { cursor } } }" }, 422, "invalid-input"],
    ["a cursor that is none", { query: '{ packs(after: "W10") { edges { cursor } } }' }, 400, "invalid-cursor"],
    ["an id that was never given", { query: '{ pack(id: "4") { id } }' }, 404, "not-found"],
    ["a session that is missing", { query: "{ benches { edges { cursor } } }" }, 401, "session-required"],
  ])("%s", async (_, payload, status, code) => {
    expect(await send(payload)).toEqual({ status, codes: [code] });
  });

  // GraphQL over HTTP, Status Codes: a client trusts another status than 200 to be of a result by this media type alone.
  it.each([
    ["application/graphql-response+json", "application/graphql-response+json"],
    ["application/graphql-response+json, application/json;q=0.9", "application/graphql-response+json"],
    ["application/json", "application/json"],
    ["*/*", "application/json"],
    ["text/html", "application/json"],
  ])("in the media type that it knows, though it never became an operation: %s", async (accept, type) => {
    const headers = { "content-type": "application/json", accept };
    const broken = await app.inject({ method: "POST", url: "/graphql", payload: '{"query', headers });
    const untyped = await app.inject({ method: "POST", url: "/graphql", payload: "a", headers: { accept } });
    for (const answer of [broken, untyped]) {
      expect([answer.headers["content-type"], answer.json().errors.length]).toEqual([`${type}; charset=utf-8`, 1]);
    }
  });

  it("more than any screen shows", async () => {
    const many = Array.from({ length: 60 }, (_, index) => `a${index}: me { id }`).join(" ");
    expect(await send({ query: `{ ${many} }` })).toEqual({ status: 400, codes: ["query-too-expensive"] });
  });

  it("fragments that multiply, without being run or walked in full", async () => {
    // Written out they are 9^40 fields, which nothing walks to its end.
    const depth = 40;
    const aliases = (fragment: string) =>
      Array.from({ length: 9 }, (_, index) => `a${index}: edges { node { ...${fragment} } }`);
    const levels = Array.from(
      { length: depth },
      (_, level) => `fragment F${level} on Pack { ${aliases(`F${level + 1}`).join(" ")} }`,
    );
    const { status } = await send({
      query: `{ packs { edges { node { ...F0 } } } } ${levels.join(" ")} fragment F${depth} on Pack { id }`,
    });
    expect(status).toBe(400);
  });

  it("a change by GET", async () => {
    const query = 'mutation { createSession(input: { handle: "anna", password: "0123456789" }) { token } }';
    const answer = await app.inject({ url: `/graphql?query=${encodeURIComponent(query)}` });
    expect(answer.statusCode).toBeGreaterThanOrEqual(400);
    expect(answer.statusCode).toBeLessThan(500);
  });
});

it("answers what it can when one of several fields fails", async () => {
  const { status, body } = await app.graphql("{ me { id } packs { pageInfo { hasNextPage } } }");
  expect(status).toBe(200);
  expect(body.data).toEqual({ me: null, packs: { pageInfo: { hasNextPage: false } } });
});
