import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { parse } from "csv-parse/sync";
import type { ComparisonView } from "../../src/features/comparisons/comparisons.views.js";
import type { LadderStepView, LadderView } from "../../src/features/ladders/ladders.views.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { inRestWords } from "../support/graphql-words.js";
import { LADDER_BENCH, LADDER_PACK, ladderStepLog } from "../support/ladder-step.js";
import { readSvg } from "../support/pictures/read-svg.js";
import { type Answer, logCase, postForm, register, uploadCase } from "../support/uploads.js";

type Headers = { authorization: string };

let app: TestApp;
let tester: Headers;
let moderator: Headers;
let ids: { packId: string; specimenId: string; benchId: string };
beforeAll(async () => {
  app = await startTestApp();
  tester = await app.signIn("anna");
  moderator = await app.signIn("mona", "moderator");
  ids = await register(app, tester, "Rung", {
    log: new Uint8Array(),
    pack: LADDER_PACK,
    bench: LADDER_BENCH,
    conditions: { ambientC: 21, restMinutes: 30, cycles: 12, setpointA: null },
  });
});
afterAll(() => app.close());

async function uploadStep(setpointA: number, changes: object = {}, log = ladderStepLog(setpointA)): Promise<Answer> {
  const { specimenId, benchId } = ids;
  const conditions = { ambientC: 21, restMinutes: 30, cycles: 12, startedAt: "2026-05-02T09:12:00Z" };
  const run = { protocol: "current-ladder", specimenId, benchId, setpointA, ...conditions, ...changes };
  return postForm(`${app.url}/v1/runs`, run, log, { headers: tester });
}

const accept = async (runId: string) => {
  const answer = await app.inject({
    method: "POST",
    url: `/v1/runs/${runId}/reviews`,
    payload: { decision: "accept", rules: [], note: "Looked at." },
    headers: moderator,
  });
  expect(answer.statusCode).toBe(201);
};

const ladder = async (query = "", headers?: Headers): Promise<{ status: number; body: LadderView }> => {
  const answer = await app.inject({ url: `/v1/ladders/${ids.specimenId}${query}`, ...(headers ? { headers } : {}) });
  return { status: answer.statusCode, body: answer.json<LadderView>() };
};

const withdraw = async (runId: string) => {
  const answer = await app.inject({ method: "DELETE", url: `/v1/runs/${runId}`, headers: tester });
  expect(answer.statusCode).toBe(204);
};

const ranked = async () => {
  const answer = await app.inject({ url: "/v1/rankings/verified-current?standing=all" });
  return answer.json<{ items: unknown[] }>().items;
};

const pick = ({ setpointA, passes }: LadderStepView) => ({ setpointA, passes });

describe("the ladder of a specimen", () => {
  const runs: string[] = [];

  it("takes constant-current runs that end at the cutoff or at the temperature limit as steps", async () => {
    for (const amps of [60, 70, 80, 90]) {
      const { body, status } = await uploadStep(amps);
      const failed = body.conformance.findings.filter(({ outcome }) => outcome === "fail").map(({ rule }) => rule);
      expect([amps, status, body.conformance.verdict, failed]).toEqual([amps, 201, "conforming", []]);
      runs.push(body.id);
    }
  });

  it("is 404 to others until a step is accepted, and shows its owner what the steps say so far", async () => {
    expect((await ladder()).status).toBe(404);
    expect((await ladder("?all=true", await app.signIn("bert"))).status).toBe(404);
    expect((await ladder("?all=false", tester)).body.steps).toEqual([]);
    const { body } = await ladder("", tester);
    expect((await ladder("?all=true", tester)).body).toEqual(body);
    const toModerator = await ladder("", moderator);
    expect(toModerator.body.steps).toEqual([]);
    expect(toModerator.body.findings.filter(({ outcome }) => outcome === "fail")).toEqual([]);
    expect((await ladder("?all=true", moderator)).body.steps).toHaveLength(runs.length);
    expect(body.findings.every(({ outcome }) => outcome === "pass")).toBe(true);
    expect(body.steps.map(({ runId }) => runId)).toEqual(runs);
    expect(body.steps.map(({ passes }) => passes)).toEqual([true, true, false, false]);
    expect(body.steps.map(({ stop }) => stop)).toEqual(["cutoff", "cutoff", "temperature-limit", "temperature-limit"]);
  });

  it("gives the verified current with its bracket, and an estimate between both", async () => {
    for (const runId of runs) await accept(runId);
    const { status, body } = await ladder();
    expect(status).toBe(200);
    expect(body.verified).toMatchObject({ bound: "none" });
    expect(body.verified?.value).toBeCloseTo(70, 0);
    expect(body.verified?.upperBracketA).toBeCloseTo(80, 0);
    expect(body.estimate?.value).toBeGreaterThan(70);
    expect(body.estimate?.value).toBeLessThan(80);
    expect(body.estimate?.uncertainty).toBeGreaterThan(0.2);
    expect(body.figures.map(({ key, bound }) => [key, bound])).toEqual([
      ["verified-current", "none"],
      ["verified-c", "none"],
      ["claim-share", "none"],
    ]);
    expect(body.figures[1]?.value).toBeCloseTo((body.verified?.value ?? 0) / 5, 9);
    expect(body.findings.every(({ outcome }) => outcome === "pass")).toBe(true);
    expect(body.cautions.join(" ")).toMatch(/not a licence/);
  });

  it("is the same in GraphQL", async () => {
    const { body } = await app.graphql(
      `{ ladder(specimenId: "${ids.specimenId}") { verified { runId value uncertainty bound upperBracketA }
        estimate { value uncertainty } steps { runId passes } figures { key value } findings { rule outcome } } }`,
    );
    const rest = (await ladder()).body;
    expect(inRestWords(body.data)).toMatchObject({
      ladder: {
        verified: rest.verified,
        estimate: rest.estimate,
        steps: rest.steps.map(({ runId, passes }) => ({ runId, passes })),
        findings: rest.findings.map(({ rule, outcome }) => ({ rule, outcome })),
      },
    });
  });

  it("ranks its pack by what was verified", async () => {
    for (const figure of ["verified-current", "verified-c", "claim-share"]) {
      const answer = await app.inject({ url: `/v1/rankings/${figure}?standing=all` });
      const { items } = answer.json<{
        items: { pack: { name: string }; value: number; testers: number; runs: number }[];
      }>();
      expect(items).toHaveLength(1);
      expect(items[0]).toMatchObject({ pack: { name: "Rung" }, testers: 1, runs: 1 });
      const detail = await app.inject({ url: `/v1/rankings/${figure}/packs/${ids.packId}` });
      expect(JSON.stringify(detail.json())).toContain(runs[1]);
    }
  });

  it("is set against other packs and runs under its own protocol only", async () => {
    const other = await uploadCase(app, tester, "Alpha", "truth-4s-10hz");
    const query = `runs=${runs[0]},${other.body.id}`;
    const answer = await app.inject({ url: `/v1/comparisons?${query}`, headers: tester });
    const { rows } = answer.json<{ rows: { figure: string; protocol: string; cells: { value: number | null }[] }[] }>();
    const known = (protocol: string) =>
      rows
        .filter((row) => row.figure === "capacity" && row.protocol === protocol)
        .map(({ cells }) => cells.map(({ value }) => value !== null));
    expect(known("current-ladder")).toEqual([[true, false]]);
    expect(known("full-load")).toContainEqual([false, true]);
  });

  it("stands for its pack in comparisons, and no mean of runs at several currents does", async () => {
    const other = await register(app, tester, "Beta", logCase("truth-4s-10hz"));
    const answer = await app.inject({ url: `/v1/comparisons?packs=${ids.packId},${other.packId}` });
    const { rows } = answer.json<{ rows: { figure: string; protocol: string }[] }>();
    const figures = rows.filter(({ protocol }) => protocol === "current-ladder").map(({ figure }) => figure);
    expect(figures.sort()).toEqual(["claim-share", "verified-c", "verified-current"]);
  });

  it("is set step by step beside another ladder, in both APIs, as tables and as a picture", async () => {
    const { specimenId: other } = await register(app, tester, "Stave", {
      log: new Uint8Array(),
      pack: LADDER_PACK,
      bench: LADDER_BENCH,
      conditions: { ambientC: 21, restMinutes: 30, cycles: 12, setpointA: null },
    });
    const both = `${ids.specimenId},${other}`;
    const without = await app.inject({ url: `/v1/comparisons?ladders=${both}` });
    expect([without.statusCode, without.json()]).toMatchObject([404, { code: "no-accepted-step" }]);
    expect(without.json().errors[0].message).toContain(other);
    expect((await app.inject({ url: `/v1/comparisons?specimens=${both}` })).statusCode).toBe(404);
    const { body: step } = await uploadStep(70.4, { specimenId: other }, ladderStepLog(70.4));
    expect(step.conformance.verdict).toBe("conforming");
    await accept(step.id);
    const answer = await app.inject({ url: `/v1/comparisons?ladders=${both}` });
    const { columns, rows, steps, link, curves } = answer.json<ComparisonView>();
    expect(columns.map(({ kind, specimen }) => [kind, specimen?.label])).toEqual([
      ["ladder", "Rung no. 1"],
      ["ladder", "Stave no. 1"],
    ]);
    const shown = steps.map(({ cells }) => cells.map((cell) => cell.step?.setpointA ?? null));
    expect(shown).toEqual([
      [60, null],
      [70, 70.4],
      [80, null],
      [90, null],
    ]);
    const own = (await ladder()).body;
    const verified = rows.find(({ figure }) => figure === "verified-current")?.cells;
    expect(verified?.map(({ value, bound }) => [value, bound])).toEqual([
      [own.verified?.value, "none"],
      [steps[1]?.cells[1]?.step?.currentA, "lower"],
    ]);
    expect([link, curves]).toEqual([`/v1/comparisons?ladders=${both}&baseline=${ids.specimenId}`, []]);
    const query = "query ($l: [ID!]) { comparison(ladders: $l) { steps { cells { step { setpointA passes } } } } }";
    const payload = { query, variables: { l: both.split(",") } };
    const graphql = await app.inject({ method: "POST", url: "/graphql", payload });
    const { comparison } = graphql.json<{ data: { comparison: { steps: { cells: unknown[] }[] } } }>().data;
    expect(comparison.steps.map((one) => one.cells)).toEqual(
      steps.map(({ cells }) => cells.map((cell) => (cell.step ? { step: pick(cell.step) } : { step: null }))),
    );
    const csv = (await app.inject({ url: `/v1/comparisons.csv?ladders=${both}` })).body;
    const lines: Record<string, string>[] = parse(csv, { columns: true });
    const capacities = lines.filter(({ figure }) => figure === "capacity of the step at 70.2 A");
    expect(capacities.map(({ value, specimen }) => [Number(value), specimen])).toEqual(
      steps[1]?.cells.map(({ step: one }, i) => [one?.capacityMah, columns[i]?.specimen?.label]),
    );
    const markdown = (await app.inject({ url: `/v1/comparisons.md?ladders=${both}` })).body;
    expect(markdown).toMatch(/\*\*Step by step\*\*[\s\S]*\| 70\.2 \| \d+ mAh, [\d.]+ °C, passes \| \d+ mAh/);
    const svg = await app.inject({ url: `/v1/comparisons.svg?ladders=${both}` });
    const texts = readSvg(svg.body).map(({ text }) => text);
    expect(texts.some((text) => text.includes("Stave no. 1"))).toBe(true);
  });

  it("refuses loads, places and curves of ladders, and says what is possible", async () => {
    const query = `ladders=${ids.specimenId},${ids.packId}&load=100&at=20&show=power`;
    const answer = await app.inject({ url: `/v1/comparisons?${query}` });
    const { errors } = answer.json<{ errors: { pointer: string; message: string }[] }>();
    expect([answer.statusCode, errors.map(({ pointer }) => pointer)]).toEqual([422, ["/load", "/at", "/show"]]);
    expect(errors[0]?.message).toContain("send specimens");
    const two = await app.inject({ url: `/v1/comparisons?ladders=${ids.specimenId}&runs=${ids.packId}` });
    expect([two.statusCode, two.json().errors[0].pointer]).toEqual([422, "/packs"]);
  });

  it("keeps its failing steps when they are withdrawn, and shows them as withdrawn, in every form", async () => {
    const before = (await ladder()).body;
    for (const runId of runs.slice(2)) await withdraw(runId);
    const { body } = await ladder();
    const states = (steps: readonly LadderStepView[]) => steps.map(({ runId, review }) => [runId, review]);
    expect(states(body.steps)).toEqual(runs.map((runId, i) => [runId, i < 2 ? "accepted" : "withdrawn"]));
    for (const part of ["verified", "estimate", "figures"] as const) expect(body[part]).toEqual(before[part]);
    for (const query of ["?all=true", "?all=false"]) expect((await ladder(query, tester)).body).toEqual(body);
    expect(await ranked()).toMatchObject([{ value: before.verified?.value, testers: 1, runs: 1 }]);
    const inForm = async (form: string) => (await app.inject({ url: `/v1/ladders/${ids.specimenId}.${form}` })).body;
    const rows: Record<string, string>[] = parse(await inForm("csv"), { columns: true });
    expect(rows.map(({ passes, review }) => [passes, review])).toEqual([
      ["true", "accepted"],
      ["true", "accepted"],
      ["false", "withdrawn"],
      ["false", "withdrawn"],
    ]);
    expect((await inForm("md")).match(/no, withdrawn/g)).toHaveLength(2);
    const texts = readSvg(await inForm("svg")).map(({ text }) => text);
    expect(texts).toContainEqual(expect.stringMatching(/^Withdrawn when seen, and counted: 80\.\d A, 90\.\d A\.$/));
    const summary = await app.inject({ url: `/v1/packs/${ids.packId}/ladders` });
    expect(summary.json()).toMatchObject({ items: [{ steps: 2, withdrawnSteps: 2, verified: before.verified }] });
  });

  const excuse = async (runId: string) => {
    const payload = { note: "The probe had come loose." };
    const url = `/v1/runs/${runId}/withdrawal-excuse`;
    expect((await app.inject({ method: "POST", url, payload, headers: moderator })).statusCode).toBe(200);
  };

  it("follows when a moderator accepts the cause: what is left is a bound, which is not ranked", async () => {
    for (const runId of runs.slice(2)) await excuse(runId);
    const { body } = await ladder();
    expect(body.verified).toMatchObject({ bound: "lower", upperBracketA: null });
    expect(body.estimate).toBeNull();
    expect(await ranked()).toEqual([]);
  });

  it("is limited by a failing step that was withdrawn before anyone decided on it, and not raised by a passing one", async () => {
    const before = (await ladder()).body.verified;
    const found = new Map<number, string>();
    for (const amps of [75, 85]) {
      const { body } = await uploadStep(amps);
      const own = (await ladder("", tester)).body.steps.find(({ runId }) => runId === body.id);
      expect(own).toMatchObject({ passes: amps === 75, review: "pending" });
      await withdraw(body.id);
      found.set(amps, body.id);
    }
    const { verified, steps } = (await ladder()).body;
    expect(verified).toMatchObject({ value: before?.value, bound: "none" });
    expect(verified?.upperBracketA).toBeCloseTo(85, 0);
    expect(steps.map(({ runId }) => runId)).toEqual([...runs.slice(0, 2), found.get(85)]);
    await excuse(found.get(85) ?? "");
    expect((await ladder()).body.verified).toEqual(before);
  });

  it("refuses steps of other surroundings as one ladder, and says which rule failed", async () => {
    const { body: warm } = await uploadStep(80, { ambientC: 28 }, ladderStepLog(80, 28));
    await accept(warm.id);
    const { body } = await ladder();
    expect(body.verified).toBeNull();
    expect(body.figures).toEqual([]);
    const failed = body.findings.filter(({ outcome }) => outcome === "fail").map(({ rule }) => rule);
    expect(failed).toEqual(["ladder-start-temperature", "ladder-ambient"]);
  });

  it("stands among the ladders of its pack, with its accepted steps alone", async () => {
    const answer = await app.inject({ url: `/v1/packs/${ids.packId}/ladders` });
    const { items } = answer.json<{ items: { specimenId: string; steps: number; tester: { handle: string } }[] }>();
    const { body } = await ladder();
    expect(items).toEqual([
      {
        specimenId: ids.specimenId,
        tester: body.tester,
        steps: body.steps.length,
        withdrawnSteps: 0,
        verified: body.verified,
        figures: body.figures,
      },
    ]);
    const query = "query($p: ID!) { ladders(packId: $p) { edges { node { specimenId steps } } } }";
    const graphql = await app.graphql(query, { variables: { p: ids.packId } });
    const node = { specimenId: ids.specimenId, steps: body.steps.length };
    expect(graphql.body.data).toEqual({ ladders: { edges: [{ node }] } });
    const none = await app.inject({ url: "/v1/packs/018f0000-0000-7000-8000-000000000000/ladders" });
    expect(none.statusCode).toBe(404);
  });

  it("is 404 for a specimen that does not exist", async () => {
    for (const id of ["nonsense", "018f0000-0000-7000-8000-000000000000"]) {
      expect((await app.inject({ url: `/v1/ladders/${id}`, headers: tester })).statusCode).toBe(404);
    }
  });

  it("says what it takes to whom there is none to see", async () => {
    const answer = await app.inject({ url: "/v1/ladders/018f0000-0000-7000-8000-000000000000" });
    expect(answer.json()).toMatchObject({ type: "/problems/no-accepted-step", status: 404 });
    expect(answer.json<{ detail: string }>().detail).toContain("under current-ladder is accepted");
  });
});
