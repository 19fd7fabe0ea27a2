import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";
import { describeApi } from "../open-api/open-api.js";

interface Row {
  readonly method: "GET" | "POST" | "PUT" | "DELETE";
  readonly path: string;
  readonly hasBody: boolean;
}

let app: TestApp;
let headers: { authorization: string };
let rows: Row[];
beforeAll(async () => {
  app = await startTestApp();
  headers = await app.signIn("ruler", "administrator");
  rows = Object.entries(describeApi(app.nest).paths).flatMap(([path, item]) =>
    (["get", "post", "put", "delete"] as const).flatMap((method) => {
      const responses = item[method]?.responses;
      return responses
        ? [
            {
              method: method.toUpperCase() as Row["method"],
              path,
              hasBody: !("204" in responses && !("200" in responses)),
            },
          ]
        : [];
    }),
  );
});
afterAll(() => app.close());

const NOBODYS = "01a2122e-e1a4-753d-899e-c914096834c6";

async function ask({ method, path }: Row, query: string, accept: string): Promise<unknown[]> {
  const url = path.replace(/\{\w+\}/g, NOBODYS);
  const answer = await app.inject({ method, url: `${url}${query}`, headers: { ...headers, accept } });
  const { type, errors = [] } = answer.body.startsWith("{") ? answer.json() : { type: "" };
  return [method, path, answer.statusCode, type, ...errors.map((error: { pointer: string }) => error.pointer)];
}

// RFC 9110, 12.4.2 and 12.5.1: q=0 means that it is not acceptable; the most specific range counts.
const NOTHING = [
  "video/mp4",
  "*/*;q=0",
  "text/plain, application/*;q=0",
  "application/json;q=0, text/event-stream;q=0, text/csv;q=0, */*;q=0",
];

describe("every operation", () => {
  it.each(NOTHING)("is 406 when nothing that it gives is acceptable: %s", async (accept) => {
    for (const row of rows) {
      // A log's media type is known when the log is.
      if (!row.hasBody || row.path === "/v1/runs/{id}/log") continue;
      const { method, path } = row;
      expect(await ask(row, "", accept)).toEqual([method, path, 406, "/problems/not-acceptable"]);
    }
  });

  it("refuses a query parameter that it does not know, and names it", async () => {
    for (const row of rows) {
      // OAuth 2.0, 4.1.2 (RFC 6749): what the identity provider adds must be ignored.
      if (row.path === "/v1/sign-ins/callback") continue;
      const answer = await ask(row, "?no/thing=1", "*/*");
      expect(answer).toEqual(expect.arrayContaining([row.path, 422, "/problems/invalid-input", "/no~1thing"]));
    }
  });
});

it.each([
  ["*/*", 200],
  ["application/*;q=0.1", 200],
  ["application/json;q=0, */*", 406],
  ["*/*;q=0, application/json", 200],
  ["text/html, application/xhtml+xml, */*;q=0.8", 200],
])("a list that is asked for with Accept: %s is %d", async (accept, status) => {
  expect((await app.inject({ url: "/v1/packs", headers: { accept } })).statusCode).toBe(status);
});
