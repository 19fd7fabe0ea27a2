import { afterAll, beforeAll, describe, expect, it } from "@jest/globals";
import type { OpenAPIObject } from "@nestjs/swagger";
import { Client } from "pg";
import { fill, packId } from "../../bench/scale/fill.js";
import { DatasetService } from "../../src/features/dataset/dataset.service.js";
import { describeApi } from "../../src/platform/http/open-api/open-api.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { readDescriptor } from "../support/downloaded.js";
import { productOf } from "../support/facts.js";
import { uploadCase } from "../support/uploads.js";

/** Tables that stay small however many people use the service: one row a protocol, a version, a setting. */
const SMALL: ReadonlySet<string> = new Set([
  "protocol",
  "active_version",
  "ranking_revision",
  "auto_accept_policy",
  "standing_policy",
  "_prisma_migrations",
  "pack_revision",
  // The queue's own: as many rows as jobs wait.
  "_private_jobs",
  "_private_tasks",
  "_private_job_queues",
]);

/** Tables that are filled here. An index of theirs that is read without a condition is a whole table too. */
const LARGE: ReadonlySet<string> = new Set(["pack", "specimen", "run", "evaluation", "figure", "standing", "log"]);

/** A node of a plan, as `EXPLAIN (FORMAT JSON)` of PostgreSQL writes it. */
interface Plan {
  readonly "Node Type": string;
  readonly "Relation Name"?: string;
  readonly "Index Name"?: string;
  readonly "Index Cond"?: string;
  readonly "Total Cost": number;
  /** Pages of tables and indexes that were looked at. */
  readonly "Shared Hit Blocks"?: number;
  readonly "Shared Read Blocks"?: number;
  readonly Plans?: readonly Plan[];
}

interface Sent {
  readonly text: string;
  readonly values: readonly unknown[];
}

let app: TestApp;
let planner: Client;
const values: Record<string, string> = {
  figure: "power-10s",
  key: "full-load",
  version: "1",
  n: "1",
  handle: "anna",
  token: "A".repeat(43),
};
beforeAll(async () => {
  app = await startTestApp();
  const headers = await app.signIn("anna");
  const run = (await uploadCase(app, headers, "Sprint", "truth-4s-10hz")).body;
  await app.inject({ method: "POST", url: "/v1/packs", payload: productOf("Other"), headers });
  const shown = (await app.inject({ url: `/v1/runs/${run.id}`, headers })).json<{
    pack: { id: string };
    specimen: { id: string };
  }>();
  Object.assign(values, { run: run.id, pack: shown.pack.id, specimen: shown.specimen.id });
  await app.database.run.updateMany({ data: { review: "accepted" } });
  planner = new Client({ connectionString: app.database.connectionString });
  await planner.connect();
  // Tables of such a size that reading one whole costs more than any index.
  await fill(app.database.connectionString, { packs: 2_000, runs: 10_000, runsOfOne: 500 });
  // A snapshot reads whole tables, in a job: made now, no read of the dataset asks for one while statements are recorded.
  await app.nest.get(DatasetService).write();
  const { resources } = await readDescriptor(app);
  const [, snapshot, kind, year, month, file] = (resources[0]?.path ?? "").split("/");
  Object.assign(values, { snapshot, kind, year, month, file });
  // Of tables that stay small here an index is taken wherever one serves: what is left has none.
  await planner.query("SET enable_seqscan = off");
});
afterAll(async () => {
  await planner.end();
  await app.close();
});

/** The public reads of the contract, each with one query for each of its filters. */
function publicReads(): string[] {
  const { paths } = describeApi(app.nest) as OpenAPIObject;
  return Object.entries(paths).flatMap(([path, { get }]) => {
    if (!get || (get.security && !get.security.some((one) => Object.keys(one).length === 0))) return [];
    return [path.replace(/\{(\w+)\}/g, (_, name: string) => standInFor(path, name))];
  });
}

function standInFor(path: string, name: string): string {
  const kind = /\/v1\/(\w+?)s?\/\{/.exec(path)?.[1] ?? "";
  const value = values[name] ?? values[name.replace(/Id$/, "")] ?? (name === "id" ? values[kind] : undefined);
  if (value === undefined) throw new Error(`say in this test what stands for {${name}} in ${path}`);
  return value;
}

/** The statements that the service sends for a request, through whichever connection. */
const statementsOf = (url: string): Promise<Sent[]> => statementsDuring(() => app.inject({ url }));

async function statementsDuring(work: () => Promise<unknown>): Promise<Sent[]> {
  const sent: Sent[] = [];
  const query = Client.prototype.query;
  Client.prototype.query = function recording(this: Client, ...args: unknown[]) {
    const [first, second] = args as [string | { text: string; values?: unknown[] }, unknown];
    if (typeof first === "string") sent.push({ text: first, values: Array.isArray(second) ? second : [] });
    else if (typeof first?.text === "string") {
      sent.push({ text: first.text, values: first.values ?? (Array.isArray(second) ? second : []) });
    }
    return (query as (...passed: unknown[]) => unknown).apply(this, args);
  } as typeof query;
  try {
    await work();
  } finally {
    Client.prototype.query = query;
  }
  return sent.flatMap(({ text, values: given }) => {
    const read = text.replace(/^\s*DECLARE \w+ NO SCROLL CURSOR FOR/i, "");
    return /^\s*(SELECT|WITH)\b/i.test(read) ? [{ text: read, values: given }] : [];
  });
}

/** Whether a scan looks for something in an index; of a bitmap, whether all of its parts do. */
function isConditional(plan: Plan): boolean {
  const isOfBitmap = plan["Node Type"].startsWith("Bitmap") && plan["Node Type"] !== "Bitmap Index Scan";
  return isOfBitmap ? (plan.Plans ?? []).every(isConditional) : plan["Index Cond"] !== undefined;
}

/** What of a plan reads a whole large table: a scan without a condition on an index that nothing ends early. */
function wholeReads(plan: Plan, isEnded = false): string[] {
  const table = plan["Relation Name"] ?? "";
  const isScan = plan["Node Type"].includes("Scan") && table !== "";
  const isWhole =
    isScan && !isConditional(plan) && (plan["Node Type"] === "Seq Scan" || (LARGE.has(table) && !isEnded));
  const [first] = plan.Plans ?? [];
  // PostgreSQL itself expects the limit to be reached early: most rows pass the filter.
  const endsEarly = plan["Node Type"] === "Limit" && plan["Total Cost"] < (first?.["Total Cost"] ?? 0) / 2;
  const below = endsEarly || (isEnded && !["Sort", "Aggregate", "Hash"].includes(plan["Node Type"]));
  return [
    ...(isWhole && !SMALL.has(table) ? [`${plan["Node Type"]} of ${table}`] : []),
    ...(plan.Plans ?? []).flatMap((one) => wholeReads(one, below)),
  ];
}

async function plansOf({ text, values: given }: Sent, options = ""): Promise<Plan[]> {
  const explain = `EXPLAIN (${options}FORMAT JSON) ${text}`;
  const { rows } = await planner.query<{ "QUERY PLAN": { Plan: Plan }[] }>(explain, [...given]);
  return rows.flatMap((row) => row["QUERY PLAN"].map((one) => one.Plan));
}

async function wholeReadsOf(sent: Sent): Promise<string[]> {
  return (await plansOf(sent)).flatMap((plan) => wholeReads(plan));
}

/** The nodes of a plan that read a table or an index. */
function scansOf(plan: Plan): Plan[] {
  const own = plan["Node Type"].includes("Scan") ? [plan] : [];
  return [...own, ...(plan.Plans ?? []).flatMap(scansOf)];
}

/** Does something with the plans that PostgreSQL chooses by itself. */
async function asChosen<T>(work: () => Promise<T>): Promise<T> {
  await planner.query("SET enable_seqscan = on");
  return work().finally(() => planner.query("SET enable_seqscan = off").catch(() => {}));
}

/** A count of all packs by class is a count of all packs: from an index alone, and answered 304 until one is added. */
const COUNTS = ["/v1/classes"];

/** Reads beside those of the contract's bare addresses: filters, pages and searches. */
const OTHERS = [
  "/v1/rankings/power-10s?chemistry=lipo&series=4&maker=Orrin&massMin=5&standing=established",
  "/v1/rankings/power-10s?asOf=2026-01-01",
  "/v1/packs?search=sprint",
  "/v1/packs?chemistry=lipo&series=4",
  "/v1/packs?chemistry=lifepo4&series=14",
  "/v1/runs?protocol=full-load",
  "/v1/runs?verdict=conforming",
  "/v1/runs?protocol=two-pulse",
];

describe("a public read", () => {
  it("reads no large table whole", async () => {
    const reads = [...publicReads(), ...OTHERS].filter((url) => !COUNTS.includes(url));
    expect(reads.length).toBeGreaterThan(25);
    const found: Record<string, string[]> = {};
    let statements = 0;
    for (const url of reads) {
      // What is kept in memory is read once, however often it is asked for.
      await app.inject({ url });
      const sent = await statementsOf(url);
      statements += sent.length;
      const whole: string[] = [];
      for (const one of sent) whole.push(...(await wholeReadsOf(one)));
      if (whole.length > 0) found[url] = [...new Set(whole)];
    }
    expect(found).toEqual({});
    expect(statements).toBeGreaterThan(reads.length);
  });

  it.each([
    ["SELECT * FROM pack WHERE mass_grams = 5", ["Seq Scan of pack"]],
    // Which of them depends on what vacuum has seen.
    ["SELECT count(*) FROM standing", [expect.stringMatching(/^(Index Only|Bitmap Heap) Scan of standing$/)]],
    ["SELECT * FROM run ORDER BY id LIMIT 5", []],
    ["SELECT * FROM pack WHERE id = gen_random_uuid()", ["Seq Scan of pack"]],
    ["SELECT * FROM protocol", []],
  ])("is seen to do so where it would: %s", async (text, expected) => {
    expect(await wholeReadsOf({ text, values: [] })).toEqual(expected);
  });
});

describe("a page of a pack's runs", () => {
  /** Blocks that all statements of a page look at, for each run that it shows. */
  const blocksOfOne = async (pack: number) => {
    const url = `/v1/packs/${packId(pack)}/runs?first=25&fields=`;
    const { items } = (await app.inject({ url: `${url}id,state` })).json<{ items: unknown[] }>();
    let blocks = 0;
    for (const one of await statementsOf(`${url}id`)) {
      const plans = await plansOf(one, "ANALYZE, BUFFERS, ");
      for (const plan of plans) blocks += (plan["Shared Hit Blocks"] ?? 0) + (plan["Shared Read Blocks"] ?? 0);
    }
    return { shown: items.length, blocks: blocks / items.length };
  };

  it("is read from as many blocks a run with 500 runs as with a few", async () => {
    await asChosen(async () => {
      const usual = await blocksOfOne(77);
      const many = await blocksOfOne(1);
      expect([usual.shown, many.shown]).toEqual([4, 25]);
      expect(usual.blocks).toBeGreaterThan(10);
      expect(many.blocks).toBeLessThan(1.5 * usual.blocks);
    });
  });
});

describe("the count of what a tester has uploaded within a day", () => {
  it("reads that tester's runs of the day by their index, where without one it would read the table", async () => {
    const headers = await app.signIn("bert");
    const sent = await statementsDuring(() => uploadCase(app, headers, "Ridge", "plain-20hz"));
    const quota = sent.find(({ text }) => text.includes("interval '24 hours'")) as Sent;
    // Runs of a week, a minute apart, of 200 testers.
    await planner.query("BEGIN");
    await planner.query("SET LOCAL session_replication_role = replica");
    await planner.query("UPDATE run SET created_at = started_at");
    await planner.query("ANALYZE run");
    const idOf = async (handle: string) =>
      (await planner.query<{ id: string }>("SELECT id::text FROM account WHERE handle = $1", [handle])).rows[0]?.id;
    const [bert, other] = [await idOf("bert"), await idOf("tester7")];
    expect(quota.values).toContain(bert);
    const asked = { ...quota, values: quota.values.map((value) => (value === bert ? other : value)) };
    const scans = async () => (await plansOf(asked)).flatMap(scansOf).filter((one) => one["Relation Name"] !== "log");
    await asChosen(async () => {
      const chosen = await scans();
      expect(chosen.map((one) => one["Node Type"])).not.toContain("Seq Scan");
      const own = chosen.find((one) => one["Index Name"] === "run_tester_id_created_at_idx");
      expect(own?.["Index Cond"]).toMatch(/tester_id = .*created_at > /);
      const { rows: others } = await planner.query<{ name: string }>(
        "SELECT indexname AS name FROM pg_indexes WHERE tablename = 'run' AND indexname <> 'run_same_upload_key' AND indexdef ~ '\\((tester_id|created_at)\\M'",
      );
      await planner.query("ALTER TABLE run DROP CONSTRAINT run_same_upload_key");
      for (const { name } of others) await planner.query(`DROP INDEX ${planner.escapeIdentifier(name)}`);
      expect((await scans()).map((one) => one["Node Type"])).toContain("Seq Scan");
    }).finally(() => planner.query("ROLLBACK"));
  });
});
