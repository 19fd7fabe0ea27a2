import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { Client } from "pg";
import { fill } from "../../../../bench/scale/fill.js";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";
import { RiskRepository } from "./risk.repository.js";

const PENDING = 60;
const NOBODY = "00000000-0000-7000-8000-000000000000";
const WINDOW = { after: null, before: null, backward: false, take: PENDING };

/** A node of a plan, as `EXPLAIN (ANALYZE, FORMAT JSON)` of PostgreSQL writes it. */
interface Plan {
  readonly Alias?: string;
  /** Mean of all times that the node was begun anew. */
  readonly "Actual Rows": number;
  readonly Plans?: readonly Plan[];
}

const nodesOf = (plan: Plan): Plan[] => [plan, ...(plan.Plans ?? []).flatMap(nodesOf)];

let app: TestApp;
let client: Client;
let risks: RiskRepository;
beforeAll(async () => {
  app = await startTestApp();
  await fill(app.database.connectionString, { packs: 1_000, runs: 1_200, runsOfOne: 1 });
  client = new Client({ connectionString: app.database.connectionString });
  await client.connect();
  await client.query(
    `UPDATE run SET review_state = 'pending' WHERE id IN (SELECT id FROM run WHERE state = 'processed' ORDER BY id DESC LIMIT ${PENDING})`,
  );
  // Some far behind their class, some among the first of it, and some between.
  await client.query("SET session_replication_role = replica");
  await client.query(
    `UPDATE figure SET value = value * (1 + 2 * (hashtext(evaluation_id::text) & 7))
     WHERE evaluation_id IN (SELECT current_evaluation_id FROM run WHERE review_state = 'pending')`,
  );
  await client.query("SET session_replication_role = origin");
  risks = app.nest.get(RiskRepository);
});
afterAll(async () => {
  await client.end();
  await app.close();
});

/** The statement by which the queue is read. */
async function statementOf(work: () => Promise<unknown>): Promise<{ text: string; values: unknown[] }> {
  const { pool } = app.database;
  const query = pool.query;
  const sent: { text: string; values: unknown[] }[] = [];
  pool.query = ((...args: unknown[]) => {
    const [first, values] = args as [string | { text: string; values?: unknown[] }, unknown[]?];
    sent.push(typeof first === "string" ? { text: first, values: values ?? [] } : { values: values ?? [], ...first });
    return (query as (...given: unknown[]) => unknown).apply(pool, args);
  }) as typeof query;
  try {
    await work();
  } finally {
    pool.query = query;
  }
  const found = sent.find(({ text }) => text.includes("affectsRanking"));
  if (!found) throw new Error("the queue was not read");
  return found;
}

describe("the queue by risk", () => {
  it("names the runs that would stand among the first three of their class, as counting those before them does", async () => {
    const { rows } = await client.query<{ id: string; values: [string, number][]; pack: string }>(
      `SELECT run.id, run.pack_id AS pack, json_agg(json_build_array(figure.key || figure.load, figure.value)) AS values
       FROM run JOIN figure ON figure.evaluation_id = run.current_evaluation_id
       WHERE run.review_state = 'pending' AND (figure.basis = 'translated') = (figure.load > 0) GROUP BY run.id`,
    );
    const standings = await app.database.standing.findMany();
    const expected = new Map(
      rows.map(({ id, pack, values }) => [
        id,
        standings.some((own) => {
          const value = values.find(([name]) => name === own.figure + own.load)?.[1];
          if (own.packId !== pack || value === undefined) return false;
          const better = standings.filter(
            ({ figure, load, chemistry, series, packId, sortValue }) =>
              figure === own.figure &&
              load === own.load &&
              chemistry === own.chemistry &&
              series === own.series &&
              packId !== pack &&
              sortValue > value,
          );
          return better.length < 3;
        }),
      ]),
    );
    const found = await risks.queue("pending", NOBODY, WINDOW);
    expect(new Map(found.map(({ runId, affectsRanking }) => [runId, affectsRanking]))).toEqual(expected);
    expect([expected.size, new Set(expected.values()).size]).toEqual([PENDING, 2]);
  });

  it("looks at no more than three standings of a class for a figure", async () => {
    const { text, values } = await statementOf(() => risks.queue("pending", NOBODY, WINDOW));
    const { rows } = await client.query<{ "QUERY PLAN": [{ Plan: Plan }] }>(
      `EXPLAIN (ANALYZE, FORMAT JSON) ${text}`,
      values,
    );
    const looked = nodesOf(rows[0]?.["QUERY PLAN"][0].Plan as Plan).filter(({ Alias }) => Alias === "better");
    expect(looked).not.toEqual([]);
    for (const node of looked) expect(node["Actual Rows"]).toBeLessThanOrEqual(3);
  });
});
