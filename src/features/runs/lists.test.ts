import { gzipSync } from "node:zlib";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { inRestWords } from "../../../test/support/graphql-words.js";
import { logCase, postForm, register } from "../../../test/support/uploads.js";
import { RUN_MEMBERS, RUN_SUMMARY } from "./run-list.views.js";
import type { RunView } from "./runs.views.js";

const CASE = logCase("truth-4s-10hz");

let app: TestApp;
const as: Record<string, { authorization: string }> = {};
const runs = { first: "", second: "", waiting: "", broken: "", other: "" };
let ids: { packId: string; specimenId: string; benchId: string };
beforeAll(async () => {
  app = await startTestApp();
  for (const handle of ["anna", "bert"]) as[handle] = await app.signIn(handle);
  as.vito = await app.signIn("vito", "moderator");
  ids = await register(app, anna(), "Sprint", CASE);
  const upload = async (startedAt: string, log: Uint8Array, fileName = "log.csv", who = anna(), where = ids) => {
    const { packId: _, ...its } = where;
    const run = { protocol: "full-load", startedAt, ...its, ...CASE.conditions };
    const { body } = await postForm(`${app.url}/v1/runs`, run, log, { headers: who, fileName });
    return body.id ?? body.runId;
  };
  runs.first = await upload("2026-05-01T09:00:00Z", CASE.log, "May 1\u202e/..\\Regatta, 1.csv");
  const other = await register(app, as.bert as never, "Ridge", CASE);
  runs.other = await upload("2026-05-02T09:00:00Z", gzipSync(CASE.log), "x.csv.gz", as.bert, other);
  const longer = Buffer.concat([Buffer.from(CASE.log), Buffer.from("\n")]);
  runs.second = await upload("2026-05-03T09:00:00Z", longer);
  runs.waiting = await upload("2026-05-04T09:00:00Z", Buffer.concat([longer, Buffer.from("\n")]));
  runs.broken = await upload("2026-05-05T09:00:00Z", Buffer.from("nothing"));
  for (const id of [runs.first, runs.second, runs.other]) {
    // Only who may see them counts here; that a decision is needed is shown in the journeys.
    await app.database.run.update({ where: { id }, data: { review: "accepted" } });
  }
});
afterAll(() => app.close());

const anna = () => as.anna as { authorization: string };

async function listed(query: string, headers: Record<string, string> = {}, base = "/v1/runs"): Promise<string[]> {
  const answer = await app.inject({ url: `${base}?${query}`, headers });
  expect([query, answer.statusCode]).toEqual([query, 200]);
  const named = new Map(Object.entries(runs).map(([name, id]) => [id, name]));
  return answer.json<{ items: { id: string }[] }>().items.map(({ id }) => named.get(id) ?? id);
}

describe("a list of runs", () => {
  it.each<[string, string[]]>([
    ["", ["second", "other", "first"]],
    ["tester=ANNA", ["second", "first"]],
    ["tester=nobody", []],
    ["protocol=full-load", ["second", "other", "first"]],
    ["protocol=two-pulse", []],
    ["verdict=conforming&tester=bert", ["other"]],
    ["verdict=nonconforming", []],
    ["state=processed", ["second", "other", "first"]],
    ["state=failed", []],
    ["review=accepted", ["second", "other", "first"]],
    ["review=pending", []],
    ["startedFrom=2026-05-02T09:00:00Z", ["second", "other"]],
    ["startedTo=2026-05-02T09:00:00Z", ["first"]],
    ["startedFrom=2026-05-02T11:00:00%2B02:00&startedTo=2026-05-02T09:00:01Z", ["other"]],
    ["uploadedTo=2026-01-01T00:00:00Z", []],
    ["uploadedFrom=2026-01-01T00:00:00Z&first=1", ["second"]],
  ])("shows everybody by %p %p", async (query, expected) => {
    expect(await listed(query)).toEqual(expected);
  });

  it("shows what is not public to whom it belongs and to those who review, and to nobody else", async () => {
    expect(await listed("review=pending", anna())).toEqual(["broken", "waiting"]);
    expect(await listed("state=failed", anna())).toEqual(["broken"]);
    expect(await listed("mine=true", anna())).toEqual(["broken", "waiting", "second", "first"]);
    expect(await listed("mine=true&tester=bert", anna())).toEqual([]);
    expect(await listed("review=pending", as.vito)).toEqual(["broken", "waiting"]);
    expect(await listed("review=pending&tester=anna", as.bert)).toEqual([]);
  });

  // A misspelt key is told from a protocol without runs, as in rankings.
  it.each(["/v1/runs", "/v1/packs/:pack/runs"])(
    "is not found under a protocol that there is not, at %s",
    async (path) => {
      const base = path.replace(":pack", ids.packId);
      for (const key of ["nope", "Full-load", "full-load%00"]) {
        const answer = await app.inject({ url: `${base}?protocol=${key}` });
        expect([key, answer.statusCode]).toEqual([key, key.endsWith("%00") ? 422 : 404]);
      }
      const { body } = await app.graphql('{ runs(protocol: "nope") { edges { node { id } } } }');
      expect(body.errors?.[0]?.extensions.code).toBe("not-found");
      const ranking = await app.inject({ url: "/v1/rankings/power-10s?protocol=nope" });
      expect(ranking.statusCode).toBe(404);
    },
  );

  it("is of one pack or specimen, at the pack's own address too", async () => {
    expect(await listed(`packId=${ids.packId}`)).toEqual(["second", "first"]);
    expect(await listed(`specimenId=${ids.specimenId}&startedTo=2026-05-02T00:00:00Z`)).toEqual(["first"]);
    expect(await listed("first=1", {}, `/v1/packs/${ids.packId}/runs`)).toEqual(["second"]);
    const unknown = await app.inject({ url: "/v1/packs/01a2122e-e1a4-753d-899e-c914096834c6/runs" });
    expect(unknown.statusCode).toBe(404);
  });

  it("is filtered alike over GraphQL", async () => {
    const query = `{ runs(tester: "anna", startedFrom: "2026-05-02T09:00:00Z") {
      edges { node { id verdict fileName keyFigures { key value unit } } } } }`;
    const { body } = await app.graphql(query);
    const rest = await app.inject({ url: "/v1/runs?tester=anna&startedFrom=2026-05-02T09:00:00Z" });
    const [item] = rest.json<{ items: RunView[] }>().items;
    const { edges } = (inRestWords(body.data) as { runs: { edges: { node: RunView }[] } }).runs;
    expect(edges.map(({ node }) => node)).toEqual([
      expect.objectContaining({ id: runs.second, verdict: item?.verdict, fileName: "log.csv" }),
    ]);
    expect(item?.keyFigures).toEqual(edges[0]?.node.keyFigures.map((figure) => expect.objectContaining(figure)));
  });

  it("shows a summary in a twentieth of the bytes of the whole runs", async () => {
    const answer = await app.inject({ url: "/v1/runs?first=1" });
    const [item] = answer.json<{ items: RunView[] }>().items;
    expect(Object.keys(item ?? {}).sort()).toEqual([...RUN_SUMMARY].sort());
    expect(item).toMatchObject({ review: "accepted", verdict: "conforming", fileName: "log.csv" });
    const whole = await app.inject({ url: `/v1/runs/${item?.id}` });
    const figures = whole.json<RunView>().figures.filter(({ basis }) => basis !== "translated");
    for (const { key, value, uncertainty } of item?.keyFigures ?? []) {
      expect(figures).toContainEqual(expect.objectContaining({ key, value, uncertainty }));
    }
    expect(item?.keyFigures.map(({ key }) => key)).toEqual(expect.arrayContaining(["power-10s", "capacity"]));
    expect(answer.rawPayload.length).toBeLessThan(whole.rawPayload.length / 20);
    expect(answer.rawPayload.length).toBeLessThan(2_500);
  });

  it("shows the members that are asked for, each of which it knows", async () => {
    const fields = async (names: string) => app.inject({ url: `/v1/runs?first=1&fields=${names}` });
    const whole = (await app.inject({ url: `/v1/runs/${runs.second}` })).json<RunView>();
    expect((await fields(RUN_MEMBERS.join())).json<{ items: object[] }>().items).toEqual([whole]);
    const some = (await fields("verdict,conformance")).json<{ items: object[] }>().items;
    expect(some).toEqual([{ id: whole.id, verdict: whole.verdict, conformance: whole.conformance }]);
    for (const wrong of ["", "verdict,colour", "verdict,verdict", "id, verdict", "__proto__"]) {
      const answer = await fields(encodeURIComponent(wrong));
      expect([wrong, answer.statusCode]).toEqual([wrong, 422]);
      expect(answer.json()).toMatchObject({ errors: [{ pointer: "/fields" }] });
    }
  });

  it("refuses what it does not know to filter by", async () => {
    for (const query of ["verdict=good", "review=x", "state=x", "startedFrom=yesterday", "tester="]) {
      expect([query, (await app.inject({ url: `/v1/runs?${query}` })).statusCode]).toEqual([query, 422]);
    }
  });
});

describe("the name of a log's file", () => {
  it("is kept without its folders and what nobody sees, and decides nothing", async () => {
    const { fileName } = (await app.inject({ url: `/v1/runs/${runs.first}` })).json<RunView>();
    expect(fileName).toBe("Regatta, 1.csv");
  });
});
