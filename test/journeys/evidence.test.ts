import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { RUNS } from "../../seed/scenario.js";
import type { EvidenceSummaryView } from "../../src/features/reviews/evidence/summary.views.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { uploadDemoRun } from "../support/demo-run.js";
import { untilScored } from "../support/until-scored.js";
import { uploadCase } from "../support/uploads.js";

type Headers = { authorization: string };

const MAX_BYTES = 10_000;
const AGREEMENT = {
  channel: "voltage",
  correlation: 0.912345678901,
  score: 12.3456789012,
  lagS: 0,
  stretch: 1,
  overlapS: 60,
  samples: 600,
  gain: 1,
  coarse: false,
};

let app: TestApp;
let tester: Headers;
let mona: Headers;
beforeAll(async () => {
  app = await startTestApp();
  tester = await app.signIn("tilda");
  mona = await app.signIn("mona", "moderator");
});
afterAll(() => app.close());

const ask = (method: "GET" | "POST" | "DELETE", url: string, headers: Headers, payload?: object) =>
  app.inject({ method, url, headers, ...(payload ? { payload } : {}) });
const decide = (runId: string, decision: string, headers = mona, note: string | null = "Looked at.") =>
  ask("POST", `/v1/runs/${runId}/reviews`, headers, { decision, rules: [], note });
const upload = async (pack: string, log: string, headers: Headers) =>
  (await uploadCase(app, headers, pack, log)).body.id;
async function evidenceOf(runId: string) {
  const answer = await ask("GET", `/v1/reviews/${runId}/evidence`, mona);
  return { bytes: Buffer.byteLength(answer.body), evidence: answer.json<EvidenceSummaryView>() };
}

describe("the evidence of a run", () => {
  it("sets six figures beside others' accepted and waiting runs, and says what accepting would change, without changing it", async () => {
    const others = await Promise.all(["anna", "bert", "cleo"].map((handle) => app.signIn(handle)));
    const logs = ["truth-4s-10hz", "plain-20hz", "current-offset"];
    const ids: string[] = [];
    for (const [i, headers] of others.entries()) ids.push(await upload("Judged", logs[i] as string, headers));
    for (const id of ids.slice(0, 2)) expect((await decide(id, "accept", mona, null)).statusCode).toBe(201);
    const withdrawn = await upload("Judged", "removed-at-cutoff", tester);
    await ask("DELETE", `/v1/runs/${withdrawn}`, tester);
    const id = await upload("Judged", "jitter-25hz", tester);
    const { evidence } = await evidenceOf(id);
    expect(evidence.figures).toHaveLength(6);
    for (const figure of evidence.figures) {
      expect(figure).toMatchObject({
        accepted: { runs: 2, testers: 2 },
        acceptedAndPending: { runs: 3, testers: 3 },
        z: expect.any(Number),
      });
    }
    expect(evidence).toMatchObject({
      runId: id,
      full: `/v1/reviews/${id}/evidence/full`,
      pack: { name: expect.stringContaining("Judged"), confirmed: false },
      failedCount: 0,
      tester: { handle: "tilda", accepted: 0, withdrawn: 1, withdrawnOfPack: 1, rejectedRivals: 0 },
      risk: { newTester: true, unconfirmedPack: true, withdrawnTries: 1 },
      youCompete: false,
    });
    const power = evidence.effects.find(({ figure }) => figure === "power-10s");
    expect(power).toMatchObject({ before: expect.anything(), after: expect.anything() });
    const standings = () => app.database.standing.findMany({ orderBy: [{ figure: "asc" }, { load: "asc" }] });
    const [before, entries] = [await standings(), await app.database.auditEntry.count()];
    await evidenceOf(id);
    expect([await standings(), await app.database.auditEntry.count()]).toEqual([before, entries]);
    expect((await ask("GET", `/v1/runs/${id}`, tester)).json()).toMatchObject({ review: "pending" });
    await decide(id, "accept", mona, null);
    const after = await app.database.standing.findFirst({
      where: { figure: "power-10s", load: power?.load as number, packId: evidence.pack.id },
    });
    expect([after?.testers, Number(after?.value.toPrecision(6))]).toEqual([power?.after?.testers, power?.after?.value]);
    const { body } = await app.graphql(
      "query($id: ID!) { evidenceSummary(runId: $id) { runId figures { figure z } latestDecision { moderator { handle } } } }",
      { variables: { id }, headers: mona },
    );
    expect(body.data).toMatchObject({
      evidenceSummary: { runId: id, latestDecision: { moderator: { handle: "mona" } } },
    });
  });

  it("says of a nonconforming run what it failed, and that it cannot be accepted", async () => {
    const { evidence } = await evidenceOf(await upload("Hot", "too-hot", tester));
    expect(evidence).toMatchObject({ verdict: "nonconforming", effects: [] });
    expect(evidence.failedCount).toBeGreaterThan(0);
    expect(evidence.failed[0]).toMatchObject({ rule: expect.any(String), message: expect.any(String) });
  });

  it("is below 10 kB for every run of the demo that waits", async () => {
    const sizes: number[] = [];
    for (const { key, review, tester: handle } of RUNS) {
      if (review !== "wait") continue;
      sizes.push((await evidenceOf(await uploadDemoRun(app, await app.signIn(handle), key))).bytes);
    }
    expect(sizes.length).toBeGreaterThan(0);
    expect(Math.max(...sizes)).toBeLessThan(MAX_BYTES);
  });

  it("is below 10 kB with long names, many runs, copies, proposals and an appeal", async () => {
    const name = "Ω".repeat(60);
    const id = await upload(name, "lead-awg12", tester);
    const rest = await app.database.run.findMany({ where: { NOT: { id } }, select: { id: true } });
    const pairs = rest.map((other) => [id, other.id].sort() as [string, string]);
    await app.database.copyMatch.createMany({
      data: pairs.map(([earlierRunId, laterRunId]) => ({
        earlierRunId,
        laterRunId,
        method: "3",
        agreements: [AGREEMENT],
      })),
      skipDuplicates: true,
    });
    await decide(id, "reject");
    await ask("POST", `/v1/runs/${id}/appeals`, tester, { note: "Ω".repeat(4_000) });
    for (let i = 0; i < 5; i++) {
      const headers = await app.signIn(`competing-bench-of-number-${i}`, "moderator");
      await uploadCase(
        app,
        headers,
        name,
        ["short-dip", "current-offset", "removed-at-cutoff", "plain-20hz", "jitter-25hz"][i] as string,
      );
      expect((await decide(id, "accept", headers)).json()).toMatchObject({ effective: false });
    }
    const { bytes, evidence } = await evidenceOf(id);
    expect(evidence).toMatchObject({ copyCount: rest.length, appeal: { waitsFor: expect.any(String) } });
    expect([evidence.copies.length, evidence.proposals.length]).toEqual([4, 3]);
    expect(bytes).toBeLessThan(MAX_BYTES);
  });

  it("of a moderator's own run says how many rivals' runs that moderator rejected", async () => {
    const judge = await app.signIn("judge", "moderator");
    const rival = await upload("Rival", "starts-loaded", tester);
    expect((await decide(rival, "reject", judge)).json()).toMatchObject({ effective: true });
    const own = await upload("Of The Judge", "spin-up-before", judge);
    expect((await evidenceOf(own)).evidence.tester).toMatchObject({ handle: "judge", rejectedRivals: 1 });
  });
});

it("the risk tells the runs of a young record apart: at most a third of those that wait share a score", async () => {
  await untilScored(app);
  const { items } = (await ask("GET", "/v1/reviews?first=100&fields=id,risk", mona)).json<{
    items: { risk: { score: number; unusual: number } }[];
  }>();
  const scores = items.map(({ risk }) => risk.score);
  expect(scores).toEqual(scores.toSorted((a, b) => b - a));
  const shared = [...Map.groupBy(scores, (score) => score).values()].map((same) => same.length);
  expect([scores, Math.max(...shared) <= scores.length / 3]).toEqual([scores, true]);
  expect(items.some(({ risk }) => risk.unusual > 0)).toBe(true);
});

describe("decisions", () => {
  it("are listed for whoever made them, or for a moderator that is named, with the names of all", async () => {
    const list = async (query: string) =>
      (await ask("GET", `/v1/reviews/decisions${query}`, mona)).json<{ items: { moderator: { handle: string } }[] }>();
    const { items } = await list("?decision=reject");
    expect(items).toMatchObject([
      {
        moderator: { handle: "mona" },
        tester: { handle: "tilda" },
        note: "Looked at.",
        review: "pending",
        isLatest: true,
      },
    ]);
    expect((await list("?moderator=judge")).items).toMatchObject([
      { moderator: { handle: "judge" }, decision: "reject" },
    ]);
    const { body } = await app.graphql("{ decisions(first: 1) { totalCount edges { node { pack isLatest } } } }", {
      headers: mona,
    });
    expect(body.data).toMatchObject({ decisions: { totalCount: 4, edges: [{ node: { isLatest: true } }] } });
    const run = await app.database.run.findFirstOrThrow({ where: { appealed: true } });
    const { items: entries } = (await ask("GET", `/v1/runs/${run.id}/history`, tester)).json<{
      items: { event: string; actor: { handle: string } | null }[];
    }>();
    expect(entries.find(({ event }) => event === "reject")?.actor?.handle).toBe("mona");
  });
});
