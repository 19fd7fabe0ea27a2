import { setTimeout as delay } from "node:timers/promises";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { GraphQLSchemaHost } from "@nestjs/graphql";
import { execute, parse } from "graphql";
import { OperationBudget } from "../../src/platform/graphql/execution/operation-budget.js";
import { Problem } from "../../src/platform/problems/problem.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { repeatRun } from "../support/repeat-run.js";
import { type Statement, statementsOf } from "../support/statements.js";
import { uploadCase } from "../support/uploads.js";

const RUNS = 40;

let app: TestApp;
let figuresOfRun: number;
beforeAll(async () => {
  app = await startTestApp();
  const { body } = await uploadCase(app, await app.signIn("anna"), "Sprint", "truth-4s-10hz");
  figuresOfRun = body.figures.length;
  const jobs = () => app.database.$queryRaw<object[]>`SELECT FROM graphile_worker.jobs`;
  while ((await jobs()).length > 0) await delay(20);
  await repeatRun(app.database, body.id, RUNS - 1);
  await app.database.run.updateMany({ data: { review: "accepted" } });
});
afterAll(() => app.close());

/** Runs a document past what would refuse its cost, to see what is read. */
async function read(document: string, budget?: OperationBudget) {
  const { schema } = app.nest.get(GraphQLSchemaHost);
  let result: Awaited<ReturnType<typeof execute>> = {};
  const contextValue = { req: { headers: {} }, ...(budget ? { budget } : {}) };
  const statements = await statementsOf(app, async () => {
    result = await execute({ schema, document: parse(document), contextValue });
  });
  return { ...result, statements };
}

const rowsOf = (statements: readonly Statement[], table: string) => {
  const found = statements.filter((statement) => statement.table === table);
  return { statements: found.length, rows: found.map(({ rows }) => rows) };
};
const sum = (numbers: readonly number[]) => numbers.reduce((total, one) => total + one, 0);
const aliases = (count: number, field: string) =>
  Array.from({ length: count }, (_, index) => `a${index}: ${field}`).join(" ");

describe("a deep query of runs", () => {
  it("reads figures and their budgets once, whatever the aliases, and in slices", async () => {
    const { data, errors, statements } = await read(
      `{ runs(first: ${RUNS}) { edges { node { ${aliases(3, "figures { key budget { source uncertainty } }")} } } } }`,
    );
    expect(errors).toBeUndefined();
    const { edges } = (data as { runs: { edges: { node: Record<string, { budget: unknown[] }[]> }[] } }).runs;
    expect(edges).toHaveLength(RUNS);
    for (const { node } of edges) {
      expect(node.a0).toHaveLength(figuresOfRun);
      expect(node.a2).toEqual(node.a0);
      expect(node.a0?.every(({ budget }) => budget.length > 0)).toBe(true);
    }
    const figures = rowsOf(statements, "figure");
    expect(sum(figures.rows)).toBe(RUNS * figuresOfRun);
    expect(Math.max(...figures.rows)).toBeLessThanOrEqual(10 * figuresOfRun);
    expect(figures.statements).toBeLessThan(RUNS);
    // The budgets of an evaluation are one row.
    const budgets = rowsOf(statements, "figure_budget");
    expect(sum(budgets.rows)).toBe(RUNS);
    expect(Math.max(...budgets.rows)).toBeLessThanOrEqual(5);
  });

  it("reads what all runs share once, and no table by the run", async () => {
    const { errors, statements } = await read(
      `{ runs(first: ${RUNS}) { edges { node { ${aliases(4, "pack { name }")} specimen { label } bench { label }
        tester { handle } conformance { findings { rule } } adjustments { kind } keyFigures { key } } } } }`,
    );
    expect(errors).toBeUndefined();
    for (const table of ["pack", "bench", "account"]) {
      expect([table, sum(rowsOf(statements, table).rows)]).toEqual([table, 1]);
    }
    expect(statements.length).toBeLessThan(RUNS);
  });

  it("reads nothing that is not selected", async () => {
    const { statements } = await read(`{ runs(first: ${RUNS}) { edges { node { id verdict } } } }`);
    const tables = new Set(statements.map(({ table }) => table));
    for (const table of ["figure", "finding", "adjustment", "pack", "bench", "account"]) {
      expect([table, tables.has(table)]).toEqual([table, false]);
    }
  });

  it("reads no further slice once the operation is stopped", async () => {
    const budget = new OperationBudget();
    const { pool } = app.database;
    const query = pool.query;
    let slices = 0;
    const stopping = (...args: unknown[]) => {
      const text = typeof args[0] === "string" ? args[0] : String((args[0] as { text?: string }).text);
      if (/from\s+(?:"?public"?\.)?"?figure\b/i.test(text) && ++slices === 1) {
        budget.stop(new Problem("request-timeout", "The client has gone."));
      }
      return (query as (...sent: unknown[]) => unknown).apply(pool, args);
    };
    pool.query = stopping as typeof query;
    try {
      await read(`{ runs(first: ${RUNS}) { edges { node { figures { key } } } } }`, budget);
    } finally {
      pool.query = query;
    }
    expect(slices).toBe(1);
  });
});
