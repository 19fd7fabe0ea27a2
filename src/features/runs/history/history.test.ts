import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";
import { newestProtocol } from "../../../../test/support/protocols.js";
import { logCase, uploadCase } from "../../../../test/support/uploads.js";
import { evaluate, type RunFacts } from "../../../core/evaluate.js";
import type { Prisma } from "../../../generated/prisma/client.js";
import { figureColumns } from "../../../platform/database/rows/figure-rows.js";

let app: TestApp;
let anna: { authorization: string };
let runId: string;
let first: string;
let second: string;
beforeAll(async () => {
  app = await startTestApp();
  anna = await app.signIn("anna");
  runId = (await uploadCase(app, anna, "Sprint", "plain-20hz")).body.id;
  first = (await app.database.run.findUniqueOrThrow({ where: { id: runId } })).currentEvaluationId ?? "";
  second = await evaluateAnew();
});
afterAll(() => app.close());

const makeCurrent = (evaluationId: string) =>
  app.database.run.update({ where: { id: runId }, data: { currentEvaluationId: evaluationId } });

/** Stores what the run's log gives under the next version, which asks for 50 samples a second. */
async function evaluateAnew(): Promise<string> {
  const newest = newestProtocol("full-load");
  const rules = newest.rules.map((one) =>
    one.rule === "sampling-rate" ? { ...one, limit: { ...one.limit, minimum: 50 } } : one,
  );
  const protocol = { ...newest, version: newest.version + 1, rules };
  await app.database.protocol.create({
    data: { key: protocol.key, version: protocol.version, document: protocol as unknown as Prisma.InputJsonObject },
  });
  const { log, ...facts } = logCase("plain-20hz");
  const { evaluation } = await evaluate([log], facts as unknown as RunFacts, protocol);
  const { logSha256 } = await app.database.run.findUniqueOrThrow({ where: { id: runId } });
  const { trace, figures, findings, verdict, computationVersion } = evaluation;
  const stored = await app.database.evaluation.create({
    data: {
      runId,
      protocolKey: protocol.key,
      protocolVersion: protocol.version,
      computationVersion,
      logSha256,
      verdict,
      rows: evaluation.log.rows,
      columns: [],
      ...trace,
      figures: { createMany: { data: figures.map(figureColumns) } },
      findings: {
        createMany: {
          data: findings.map(({ span, ...one }, position) => ({
            ...one,
            position,
            spanFromS: span?.fromS ?? null,
            spanToS: span?.toS ?? null,
          })),
        },
      },
    },
  });
  return stored.id;
}

const get = (path: string, headers: Partial<typeof anna> = anna) =>
  app.inject({ url: `/v1/runs/${runId}/${path}`, headers });

describe("the evaluations of a run", () => {
  it("are all kept and shown, the newest first, with the one that counts", async () => {
    const { items } = (await get("evaluations")).json<{
      items: { id: string; isCurrent: boolean; figures: object[] }[];
    }>();
    expect(items.map(({ id, isCurrent }) => [id, isCurrent])).toEqual([
      [second, false],
      [first, true],
    ]);
    for (const { figures } of items) expect(figures.length).toBeGreaterThan(10);
  });

  it("give their figures alike in both APIs, whether budgets are stored together or with each figure", async () => {
    const where = (evaluationId: string) => ({ where: { evaluationId } });
    const apart = await Promise.all([first, second].map((id) => app.database.figure.findMany(where(id))));
    expect(apart.map((rows) => rows.every(({ budget }) => (budget as unknown[]).length > 0))).toEqual([false, true]);
    expect(await app.database.figureBudget.count(where(first))).toBe(1);
    expect(await app.database.figureBudget.count(where(second))).toBe(0);
    type Figures = { figures: { budget: object[] }[] };
    const { items } = (await get("evaluations")).json<{ items: Figures[] }>();
    const { log, ...facts } = logCase("plain-20hz");
    const { evaluation } = await evaluate([log], facts as unknown as RunFacts, newestProtocol("full-load"));
    const computed = evaluation.figures.map(({ budget }) => budget).filter((budget) => budget.length > 0);
    expect(items[1]?.figures.map(({ budget }) => budget)).toEqual(expect.arrayContaining(computed));
    expect(items[0]?.figures).toEqual(items[1]?.figures);
    expect((await app.inject({ url: `/v1/runs/${runId}`, headers: anna })).json<Figures>().figures).toEqual(
      items[1]?.figures,
    );
    const query = `{ run(id: "${runId}") { figures { key basis load budget { source uncertainty } } } }`;
    const shown = async (evaluationId: string) => {
      await makeCurrent(evaluationId);
      const answer = await app.inject({ method: "POST", url: "/graphql", headers: anna, payload: { query } });
      return answer.json<{ data: { run: Figures } }>().data.run.figures.map(({ budget }) => budget);
    };
    expect(await shown(second)).toEqual(items[0]?.figures.map(({ budget }) => budget));
    expect(await shown(first)).toEqual(items[1]?.figures.map(({ budget }) => budget));
  });

  it("give their findings alike in both APIs, whether they are stored together or with a row for each", async () => {
    const where = (evaluationId: string) => ({ where: { evaluationId } });
    const { log, ...facts } = logCase("plain-20hz");
    const { evaluation } = await evaluate([log], facts as unknown as RunFacts, newestProtocol("full-load"));
    const rows = await Promise.all([first, second].map((id) => app.database.finding.count(where(id))));
    expect(rows).toEqual([expect.any(Number), evaluation.findings.length]);
    expect(rows[0]).toBeLessThan(6);
    expect(await Promise.all([first, second].map((id) => app.database.otherFindings.count(where(id))))).toEqual([1, 0]);
    type Findings = { conformance: { findings: { rule: string; outcome: string }[] } };
    const { items } = (await get("evaluations")).json<{ items: Findings[] }>();
    expect(items[1]?.conformance.findings).toEqual(evaluation.findings);
    expect(items[0]?.conformance.findings.filter(({ rule }) => rule !== "sampling-rate")).toEqual(
      evaluation.findings.filter(({ rule }) => rule !== "sampling-rate"),
    );
    const query = `{ run(id: "${runId}") { conformance { findings { rule outcome observed limit unit message span { fromS toS } } } } }`;
    for (const [id, stored] of [
      [second, items[0]],
      [first, items[1]],
    ] as const) {
      await makeCurrent(id);
      const rest = (await app.inject({ url: `/v1/runs/${runId}`, headers: anna })).json<Findings>();
      expect(rest.conformance.findings).toEqual(stored?.conformance.findings);
      const answer = await app.inject({ method: "POST", url: "/graphql", headers: anna, payload: { query } });
      const { run } = answer.json<{ data: { run: Findings } }>().data;
      const inWords = ({ outcome }: { outcome: string }) => outcome.toUpperCase().replaceAll("-", "_");
      expect(run.conformance.findings).toEqual(
        stored?.conformance.findings.map((one) => {
          const { severity: _, ...shown } = one as typeof one & { severity: string };
          return { ...shown, outcome: inWords(one) };
        }),
      );
    }
  });

  it("are compared with what changed and why, alike in both APIs", async () => {
    const changes = (await get(`evaluations/compare?from=${first}&to=${second}`)).json<{ findings: object[] }>();
    expect(changes).toMatchObject({
      from: first,
      to: second,
      madeBy: { computationDiffers: false, protocolMembers: [], rules: ["sampling-rate"] },
      verdict: { to: "nonconforming" },
      figures: [],
    });
    expect(changes.findings).toMatchObject([{ rule: "sampling-rate", from: "pass", to: "fail", causes: ["limit"] }]);
    const { body } = await app.graphql(
      "query($runId: ID!, $from: ID!, $to: ID!) { evaluationChanges(runId: $runId, from: $from, to: $to) { madeBy { rules } findings { rule from to causes } } runEvaluations(id: $runId) { items { id isCurrent } } }",
      { variables: { runId, from: first, to: second }, headers: anna },
    );
    expect(body.errors).toBeUndefined();
    expect(body.data).toMatchObject({
      evaluationChanges: {
        madeBy: { rules: ["sampling-rate"] },
        findings: [{ rule: "sampling-rate", to: "FAIL", causes: ["LIMIT"] }],
      },
      runEvaluations: { items: [{ id: second }, { id: first }] },
    });
  });

  it("are as private as the run, and only those of the run itself", async () => {
    expect((await get("evaluations", {})).statusCode).toBe(404);
    expect((await get(`evaluations/compare?from=${first}&to=${second}`, {})).statusCode).toBe(404);
    expect((await get(`evaluations/compare?from=${first}&to=${runId}`)).statusCode).toBe(404);
    expect((await get(`evaluations/compare?from=${first}`)).statusCode).toBe(422);
  });
});
