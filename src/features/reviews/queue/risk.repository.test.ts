import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import { Client } from "pg";
import { fill } from "../../../../bench/scale/fill.js";
import { startTestApp, type TestApp } from "../../../../test/support/app.js";
import { RiskRepository } from "./risk.repository.js";
import { ScoresRepository } from "./scores.repository.js";

const PENDING = 60;
const MANY = 20_000;
const NOBODY = "00000000-0000-7000-8000-000000000000";
const WINDOW = { after: null, before: null, backward: false, take: PENDING };

/** A node of a plan, as `EXPLAIN (ANALYZE, FORMAT JSON)` of PostgreSQL writes it. */
interface Plan {
  readonly Alias?: string;
  readonly "Node Type": string;
  readonly "Index Name"?: string;
  readonly "Rows Removed by Filter"?: number;
  /** Mean of all times that the node was begun anew. */
  readonly "Actual Rows": number;
  readonly Plans?: readonly Plan[];
}

const nodesOf = (plan: Plan): Plan[] => [plan, ...(plan.Plans ?? []).flatMap(nodesOf)];

let app: TestApp;
let client: Client;
let risks: RiskRepository;
beforeAll(async () => {
  // Scored here alone: a job would lock the same rows in another order.
  app = await startTestApp({ runsJobs: false });
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
  // What was written past the triggers is marked here.
  await client.query(
    "UPDATE review_score SET stale = true, parts = NULL, judged_evaluation_id = NULL, negated_score = 0",
  );
  const scores = app.nest.get(ScoresRepository);
  while (await scores.isLeft()) await scores.scoreSome({ changes: 100, marked: 100, scored: 100 }, { wait: true });
});
afterAll(async () => {
  await client.end();
  await app.close();
});

/** The statement that names a table or a column, among those that some work sends. */
async function statementOf(named: string, work: () => Promise<unknown>): Promise<{ text: string; values: unknown[] }> {
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
  const found = sent.find(({ text }) => text.includes(named));
  if (!found) throw new Error(`nothing was sent that names ${named}`);
  return found;
}

async function planOf({ text, values }: { text: string; values: unknown[] }): Promise<Plan[]> {
  const { rows } = await client.query<{ "QUERY PLAN": [{ Plan: Plan }] }>(
    `EXPLAIN (ANALYZE, FORMAT JSON) ${text}`,
    values,
  );
  return nodesOf(rows[0]?.["QUERY PLAN"][0].Plan as Plan);
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
    expect(new Map(found.map(({ runId, parts }) => [runId, parts?.affectsRanking]))).toEqual(expected);
    expect([expected.size, new Set(expected.values()).size]).toEqual([PENDING, 2]);
  });

  it("looks at no more than three standings of a class for a figure", async () => {
    const [{ id }] = (await client.query<{ id: string }>("SELECT run_id::text AS id FROM review_score LIMIT 1"))
      .rows as [{ id: string }];
    const nodes = await planOf(await statementOf("affectsRanking", () => risks.of(id)));
    const looked = nodes.filter(({ Alias }) => Alias === "better");
    expect(looked).not.toEqual([]);
    for (const node of looked) expect(node["Actual Rows"]).toBeLessThanOrEqual(3);
  });

  it("reads a page by its index, and no more rows than the page holds, forward and backward and far behind", async () => {
    await client.query("SET session_replication_role = replica");
    await client.query(
      `INSERT INTO review_score (run_id, review_state, tester_id, pack_id, protocol_key, chemistry, series, negated_score, parts, stale)
       SELECT gen_random_uuid(), 'pending', tester_id, pack_id, protocol_key, chemistry, series, -(n % 900) / 100.0, parts, false
       FROM (SELECT * FROM review_score LIMIT 1) AS one, generate_series(1, ${MANY}) AS n`,
    );
    await client.query("SET session_replication_role = origin");
    await client.query("VACUUM (ANALYZE) review_score");
    const take = 26;
    const { rows } = await client.query<{ score: number; id: string }>(
      `SELECT -negated_score AS score, run_id::text AS id FROM review_score ORDER BY negated_score, run_id OFFSET ${MANY / 2} LIMIT 1`,
    );
    const middle = [rows[0]?.score as number, rows[0]?.id as string] as const;
    for (const window of [
      { ...WINDOW, take },
      { ...WINDOW, take, after: middle },
      { ...WINDOW, take, before: middle, backward: true },
      { ...WINDOW, take, backward: true },
    ]) {
      const nodes = await planOf(await statementOf("negated_score", () => risks.queue("pending", NOBODY, window)));
      expect(nodes.map((node) => node["Node Type"])).toEqual(["Limit", "Index Scan"]);
      expect(nodes[1]?.["Index Name"]).toBe("review_score_page_idx");
      expect(nodes.map((node) => [node["Actual Rows"], node["Rows Removed by Filter"] ?? 0])).toEqual([
        [take, 0],
        [take, 0],
      ]);
    }
  });
});
