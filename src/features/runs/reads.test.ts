import { setTimeout as delay } from "node:timers/promises";
import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { inRestWords } from "../../../test/support/graphql-words.js";
import { repeatRun } from "../../../test/support/repeat-run.js";
import { type Statement, statementsOf } from "../../../test/support/statements.js";
import { uploadCase } from "../../../test/support/uploads.js";
import { ALL_PARTS } from "./evaluation/evaluation-parts.repository.js";
import { parametersOf, RUN_ROW } from "./run-rows.js";

const RUNS = 50;

let app: TestApp;
let headers: { authorization: string };
let first: string;
beforeAll(async () => {
  app = await startTestApp();
  headers = await app.signIn("anna");
  first = (await uploadCase(app, headers, "Sprint", "truth-4s-10hz")).body.id;
  await idle();
  await repeatRun(app.database, first, RUNS - 1);
});
afterAll(() => app.close());

/** Waits for the jobs that follow an upload, whose statements are none of a list's. */
async function idle(): Promise<void> {
  const jobs = () => app.database.$queryRaw<object[]>`SELECT FROM graphile_worker.jobs`;
  while ((await jobs()).length > 0) await delay(20);
}

/** Statements and rows, by table. */
const by = (statements: readonly Statement[], ...tables: string[]) =>
  Object.fromEntries(
    tables.map((table) => {
      const ofTable = statements.filter((statement) => statement.table === table);
      return [table, [ofTable.length, ofTable.reduce((sum, { rows }) => sum + rows, 0)]];
    }),
  );

it("one run is read by a plan that its connection keeps", async () => {
  const client = await app.database.pool.connect();
  try {
    const read = { name: "read-of-one", text: RUN_ROW, values: parametersOf(first, ALL_PARTS) };
    for (let i = 0; i < 10; i++) expect((await client.query(read)).rows).toHaveLength(1);
    // PostgreSQL's manual, "PREPARE": the first five times are planned for their values, later ones are not where that costs no more.
    const { rows } = await client.query("SELECT custom_plans::int FROM pg_prepared_statements WHERE name = $1", [
      read.name,
    ]);
    expect(rows).toEqual([{ custom_plans: 5 }]);
  } finally {
    client.release(true);
  }
});

const ALL = "specimen,pack,bench,log,figures,conformance,adjustments";
const PARTS = ["figure", "finding", "adjustment"];
const LIST = "query($first: Int!) { runs(mine: true, first: $first) { edges { node { id review pack { name } } } } }";

describe("a list of runs", () => {
  it("loads no row that it does not show", async () => {
    const variables = { first: RUNS };
    const statements = await statementsOf(app, () => app.graphql(LIST, { headers, variables }));
    const none = Object.fromEntries(PARTS.map((table) => [table, [0, 0]]));
    // Which runs the page shows is one statement, the runs themselves are another.
    expect(by(statements, "run", "evaluation", ...PARTS)).toEqual({
      run: [2, 2 * RUNS],
      evaluation: [1, RUNS],
      ...none,
    });
  });

  it("loads what it shows in one statement, however long it is, and the parts that are wanted", async () => {
    const listOf = (first: number, fields: string) =>
      statementsOf(app, () => app.inject({ url: `/v1/runs?mine=true&first=${first}&fields=${fields}`, headers }));
    const tables = ["specimen", "pack", "bench", "log", "evaluation", ...PARTS];
    const none = Object.fromEntries(tables.map((table) => [table, [0, 0]]));
    for (const first of [1, RUNS]) {
      const statements = await listOf(first, ALL);
      // Which runs the page shows is one statement, with one more to tell whether another page follows.
      const refs = Math.min(first + 1, RUNS);
      expect(by(statements, "run", ...tables)).toEqual({ run: [2, refs + first], ...none });
    }
  });

  it("shows over GraphQL the parts that a fragment asks for", async () => {
    const query = `{ runs(mine: true, first: 2) { edges { node { ...shown } } } }
      fragment shown on Run { id figures { key value } conformance { findings { rule outcome } } adjustments { kind } }`;
    const { body } = await app.graphql(query, { headers });
    const rest = await app.inject({ url: `/v1/runs?mine=true&first=2&fields=${ALL}`, headers });
    const { runs } = inRestWords(body.data) as { runs: { edges: { node: object }[] } };
    const nodes = runs.edges.map(({ node }) => node);
    expect(rest.json<{ items: object[] }>().items).toMatchObject(nodes);
    expect(nodes).toMatchObject([{ figures: expect.arrayContaining([expect.anything()]) }, {}]);
  });
});

it("what only asks whether a run may be seen reads one row of it", async () => {
  const statements = await statementsOf(app, () => app.inject({ url: `/v1/runs/${first}/log`, headers }));
  expect(by(statements, "figure", "finding", "bench")).toEqual({ figure: [0, 0], finding: [0, 0], bench: [0, 0] });
});
