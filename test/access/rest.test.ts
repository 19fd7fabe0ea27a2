import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { describeApi } from "../../src/platform/http/open-api/open-api.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { ACTORS, type Actor, expectedRefusal, gather, type People } from "./people.js";
import { type Access, REST_ROWS } from "./rest-rows.js";

type Method = "GET" | "POST" | "PUT" | "PATCH" | "DELETE";

let app: TestApp;
let people: People;
let paths: ReturnType<typeof describeApi>["paths"];
beforeAll(async () => {
  app = await startTestApp();
  ({ paths } = describeApi(app.nest));
  people = await gather(app);
});
afterAll(() => app.close());

const NOBODYS = "01a2122e-e1a4-753d-899e-c914096834c6";
/** Reads that stand among `write` only by their method. */
const READS_BY_POST = new Set([
  "POST /v1/checks",
  "POST /v1/predictions",
  "POST /v1/predictions.csv",
  "POST /v1/predictions.md",
  "POST /v1/predictions.png",
  "POST /v1/predictions.svg",
  "POST /v1/selections",
  "POST /v1/uses",
]);

function addressOf(path: string): string {
  const isAboutRun = path.startsWith("/v1/runs/") || path.includes("{runId}");
  const values: Readonly<Record<string, string>> = {
    id: isAboutRun ? people.runId : NOBODYS,
    runId: people.runId,
    packId: people.packId,
    specimenId: people.specimenId,
    key: "full-load",
    version: "1",
    figure: "power-10s",
    handle: "owner",
  };
  const address = path.replace(/\{(\w+)\}/g, (_, name: string) => values[name] ?? name);
  const queries: Readonly<Record<string, string>> = {
    "/v1/comparisons": `?runs=${people.runId},${NOBODYS}`,
    "/v1/notices/events": "?seconds=0",
    "/v1/runs/{id}/evaluations/compare": `?from=${people.evaluationId}&to=${people.evaluationId}`,
  };
  return `${address}${queries[path.replace(/\.\w+$/, "")] ?? ""}`;
}

function ask(row: string, actor: Actor) {
  const [method, path] = row.split(" ") as [Method, string];
  const payload = method === "GET" || method === "DELETE" ? {} : { payload: { note: "Looked at." } };
  return app.inject({ method, url: addressOf(path), headers: people.headers[actor], ...payload });
}

describe("the REST API", () => {
  it("has a row for every address, and no row more", () => {
    const addresses = Object.entries(paths).flatMap(([path, item]) =>
      ["get", "post", "put", "delete", "patch"]
        .filter((method) => method in item)
        .map((method) => `${method.toUpperCase()} ${path}`),
    );
    expect(Object.keys(REST_ROWS).sort()).toEqual(addresses.sort());
  });

  it("shows a private run in no list, count, ranking, ladder or comparison to those who may not see it", async () => {
    const { body: run } = await app.inject({ url: `/v1/runs/${people.runId}`, headers: people.headers.owner });
    expect(run).toContain(people.runId);
    for (const actor of ["anonymous", "stranger"] as const) {
      for (const row of Object.keys(REST_ROWS).filter((one) => one.startsWith("GET "))) {
        const { statusCode, body } = await ask(row, actor);
        // A refusal may repeat what it was asked for, as it would for an id that nothing has.
        const isRepeated = statusCode === 404 && addressOf(row.split(" ")[1] ?? "").includes(people.runId);
        expect([row, !isRepeated && body.includes(people.runId)]).toEqual([row, false]);
      }
    }
  });

  // What the owner may do with the run is done last: it is withdrawn by it.
  it.each(Object.entries(REST_ROWS) as [string, Access][])("%s is %s", async (row, access) => {
    const [method, path] = row.split(" ") as [Method, string];
    const operation = paths[path]?.[method.toLowerCase() as "get"];
    const security = operation?.security ?? [];
    const needsSession = security.length > 0 && security.every((one) => Object.keys(one).length > 0);
    const isRead = method === "GET" || READS_BY_POST.has(row);
    for (const actor of ACTORS) {
      const { statusCode } = await ask(row, actor);
      expect([actor, statusCode < 500]).toEqual([actor, true]);
      const refusal = expectedRefusal(access, actor, needsSession, isRead);
      // An empty body holds no credentials that could be right; what nobody has is 404 for all.
      const isOut = [401, 403].includes(statusCode) || (access.endsWith("run") && statusCode === 404);
      expect([actor, isOut ? statusCode : null]).toEqual([actor, refusal]);
    }
  });
});
