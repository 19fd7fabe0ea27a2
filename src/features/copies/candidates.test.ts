import { randomUUID } from "node:crypto";
import { afterAll, beforeAll, expect, it } from "@jest/globals";
import { createRandom } from "../../../seed/simulator/random.js";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { type CopyHashes, KIND_SHIFT } from "../../core/copies/hashes.js";
import { COURSE_LAG_POINTS, MIN_SHARED_HASHES } from "../../core/copies/shared-lags.js";
import { sortedByHash } from "../../core/copies/sorted-hashes.js";
import { BITS, POINTS_PER_UNIT, SCALE_POINTS_PER_BIT } from "../../core/copies/window-shape.js";
import { FIRST_COURSE, FIRST_UNIT } from "../../core/copies/windows.js";
import { CopiesRepository } from "./copies.repository.js";

const RUNS = 60;
const HASHES = 100;
const OFFSETS = 2048;
// PostgreSQL's manual, "Numeric Types": integer.
const MIN_HASH = -(2 ** 31);
const MAX_HASH = 2 ** 31 - 1;
/** As `copies.repository.ts` has them. */
const LAG_POINTS = 4;
/** As `candidates.ts` has them: two hashes without a common point, and a little. */
const SIGNIFICANT_BITS = 52;
const MAX_INSIGNIFICANT = 8;

let app: TestApp;
let copies: CopiesRepository;
const random = createRandom(4711);
const below = (end: number) => Math.floor(random.between(0, end));
/** Few different ones, so that many are met at some lag by chance; each kind has some. */
const someHashes = (count: number): CopyHashes => ({
  hashes: Int32Array.from({ length: count }, () => (below(FIRST_COURSE + 4) << KIND_SHIFT) | below(25)),
  offsets: Int32Array.from({ length: count }, () => below(OFFSETS + 300)),
});
const indexed = new Map<number, { readonly runId: string; readonly hashes: CopyHashes }>();

beforeAll(async () => {
  app = await startTestApp();
  copies = app.nest.get(CopiesRepository);
  await app.database.$transaction(async (tx) => {
    // Runs that nothing else is known of.
    await tx.$executeRaw`SET LOCAL session_replication_role = replica`;
    for (let i = 0; i < RUNS; i++) {
      const runId = randomUUID();
      const [made] = await tx.$queryRaw<{ number: number }[]>`
        INSERT INTO copy_fingerprint (run_id, method) VALUES (${runId}::uuid, '0') RETURNING number`;
      const hashes = someHashes(HASHES);
      indexed.set(made?.number as number, { runId, hashes });
      const at = Array.from(hashes.offsets, (offset) => offset % OFFSETS);
      await tx.$executeRaw`
        INSERT INTO copy_hash (hash, number, "offset") SELECT hash, ${made?.number}::int, "offset"
        FROM unnest(${[...hashes.hashes]}::int[], ${at}::int[]) AS one (hash, "offset") ON CONFLICT DO NOTHING`;
    }
  });
});
afterAll(() => app.close());

/** Bits that a hash has beside one that begins so many points before it: two windows of single samples are whole units apart, or have none in common. */
function bitsBeside(kind: number, points: number): number {
  if (kind < FIRST_UNIT || kind >= FIRST_COURSE) return Math.min(BITS, points / SCALE_POINTS_PER_BIT);
  const units = Math.round(points / POINTS_PER_UNIT);
  return units > 0 && Math.abs(points - units * POINTS_PER_UNIT) <= 1 ? Math.min(BITS, units) : BITS;
}

/** What is promised of candidates, in plain words of a loop: the bits of a run's hashes that meet the query in one bin of lags, of bins that overlap by half. */
function sharedBy(hashes: CopyHashes, query: CopyHashes): { bySamples: number; byCourse: number } {
  const bins = new Map<string, Map<string, readonly [hash: number, at: number]>>();
  hashes.hashes.forEach((hash, i) => {
    const at = (hashes.offsets[i] as number) % OFFSETS;
    query.hashes.forEach((asked, k) => {
      if (asked !== hash) return;
      const kind = hash >> KIND_SHIFT;
      const width = kind < FIRST_COURSE ? LAG_POINTS : 2 * COURSE_LAG_POINTS;
      const lag = (((at - (query.offsets[k] as number)) % OFFSETS) + OFFSETS) % OFFSETS;
      for (const half of [0, 1]) {
        const bin = `${kind} ${half} ${Math.floor((lag + (half * width) / 2) / width)}`;
        bins.set(bin, (bins.get(bin) ?? new Map()).set(`${hash} ${at}`, [hash, at]));
      }
    });
  });
  const most = { bySamples: 0, byCourse: 0 };
  for (const [bin, entries] of bins) {
    if (entries.size < MIN_SHARED_HASHES) continue;
    const kind = Number(bin.split(" ")[0]);
    const inOrder = [...entries.values()].sort(([hash, at], [other, before]) => at - before || hash - other);
    const bits = inOrder.map(([hash, at], i) => {
      const ofChannel = inOrder.slice(0, i).filter(([other]) => other >> BITS === hash >> BITS);
      return Math.min(BITS, ...ofChannel.map(([, before]) => bitsBeside(kind, at - before)));
    });
    const family = kind < FIRST_COURSE ? "bySamples" : "byCourse";
    most[family] = Math.max(
      most[family],
      bits.reduce((sum, one) => sum + one, 0),
    );
  }
  return most;
}

it("the runs come first whose shared hashes at one lag have most bits of their own, and few of which that may be chance", async () => {
  const own = [...indexed.keys()][7] as number;
  const query = someHashes(150);
  const named = [...indexed]
    .map(([number, { runId, hashes }]) => ({ number, runId, ...sharedBy(hashes, query) }))
    .filter(({ number, bySamples, byCourse }) => number !== own && bySamples + byCourse > 0)
    .map(({ number: _, ...one }) => ({ ...one, most: Math.max(one.bySamples, one.byCourse) }))
    .sort((a, b) => b.most - a.most || (a.runId < b.runId ? -1 : 1))
    .slice(0, 40);
  const insignificant = named.filter(({ most }) => most < SIGNIFICANT_BITS);
  expect(named.length - insignificant.length).toBeGreaterThan(0);
  expect(insignificant.length).toBeGreaterThan(MAX_INSIGNIFICANT);
  const found = await copies.candidates(own, sortedByHash(query));
  const left = named.filter((one) => !insignificant.slice(MAX_INSIGNIFICANT).includes(one));
  expect(found.map(({ runId }) => runId)).toEqual(left.map(({ runId }) => runId));
  for (const [i, { bySamples, byCourse }] of found.entries()) {
    expect(bySamples).toBeCloseTo(left[i]?.bySamples as number, 9);
    expect(byCourse).toBeCloseTo(left[i]?.byCourse as number, 9);
  }
});

it("as many are compared in a record of 300 honest runs as in one of 600, and a copy among them first", async () => {
  // A kind of its own. Of hashes that overlap but for a point, whoever has one by chance has the other.
  const hashAt = (i: number) => (FIRST_COURSE << KIND_SHIFT) | (1_000 + i);
  const query = sortedByHash({
    hashes: Int32Array.from({ length: 5 }, (_, i) => hashAt(i)),
    offsets: new Int32Array(5),
  });
  const add = (runs: number, hashes: readonly number[], offsets: readonly number[]) =>
    app.database.$transaction(async (tx) => {
      await tx.$executeRaw`SET LOCAL session_replication_role = replica`;
      return tx.$queryRaw<{ runId: string }[]>`
        WITH made AS (
          INSERT INTO copy_fingerprint (run_id, method) SELECT gen_random_uuid(), '0' FROM generate_series(1, ${runs}::int) RETURNING run_id, number
        ), hashes AS (
          INSERT INTO copy_hash (hash, number, "offset") SELECT hash, number, "offset" FROM made
          CROSS JOIN unnest(${hashes}::int[], ${offsets}::int[]) AS one (hash, "offset")
        )
        SELECT run_id::text AS "runId" FROM made`;
    });
  await add(300, [hashAt(0), hashAt(1)], [100, 106]);
  const [copy] = await add(1, [hashAt(2), hashAt(3), hashAt(4)], [100, 112, 124]);
  const few = await copies.candidates(0, query);
  await add(300, [hashAt(0), hashAt(1)], [100, 106]);
  const many = await copies.candidates(0, query);
  // A bit for each point of six that no other hash has.
  expect(many[0]).toEqual({ runId: copy?.runId, bySamples: 0, byCourse: BITS + 2 * 2 });
  expect([few.length, many.length]).toEqual([MAX_INSIGNIFICANT, MAX_INSIGNIFICANT]);
});

it("the least and the largest hash are found, once for each of their places in the query", async () => {
  const runId = randomUUID();
  await app.database.$transaction(async (tx) => {
    await tx.$executeRaw`SET LOCAL session_replication_role = replica`;
    await tx.$executeRaw`
      WITH made AS (INSERT INTO copy_fingerprint (run_id, method) VALUES (${runId}::uuid, '0') RETURNING number)
      INSERT INTO copy_hash (hash, number, "offset") SELECT hash, number, 7 FROM made CROSS JOIN unnest(${[MIN_HASH, MIN_HASH + 1, MAX_HASH - 1, MAX_HASH]}::int[]) AS one (hash)`;
  });
  const idsOf = async (query: CopyHashes) => (await copies.candidates(0, query)).map((one) => one.runId);
  const found = (...hashes: readonly number[]) =>
    idsOf(sortedByHash({ hashes: Int32Array.from(hashes), offsets: new Int32Array(hashes.length) }));
  expect(await found(MIN_HASH, MIN_HASH + 1)).toEqual([runId]);
  expect(await found(MAX_HASH, MAX_HASH, MAX_HASH - 1)).toEqual([runId]);
  expect(await found(MIN_HASH, MAX_HASH)).toEqual([]);
  // The one that is at another lag comes first in the query.
  const twice = { hashes: Int32Array.of(MIN_HASH, MIN_HASH, MIN_HASH + 1), offsets: Int32Array.of(1_000, 5, 5) };
  expect(await idsOf(sortedByHash(twice))).toEqual([runId]);
});

it("the index is searched as a list is, and not once for every hash", async () => {
  const searches = async () => {
    await app.database.$queryRaw`SELECT pg_stat_clear_snapshot()::text`;
    const [found] = await app.database.$queryRaw<{ count: number }[]>`
      SELECT idx_scan::int AS count FROM pg_stat_user_indexes WHERE indexrelname = 'copy_hash_pkey'`;
    return found?.count as number;
  };
  const wanted = 20_000;
  const query = { hashes: Int32Array.from({ length: wanted }, (_, i) => i << 12), offsets: new Int32Array(wanted) };
  // Counts are shown when the connection that made them is at rest.
  await app.database.pool.query("SELECT pg_stat_force_next_flush()");
  const before = await searches();
  const client = await app.database.pool.connect();
  try {
    const { rows } = await client.query(
      "SELECT run_id FROM copy_candidates_by_evidence($1, $2::int[], $3::int[], 26, 2047, 5, 8, 4, 32, 25, 20, 6, 2, 40)",
      [0, [...query.hashes], [...query.offsets]],
    );
    expect(rows.length).toBe(0);
    await client.query("SELECT pg_stat_force_next_flush()");
  } finally {
    client.release();
  }
  const after = await searches();
  expect(after).toBeGreaterThan(before);
  expect(after - before).toBeLessThan(wanted / 10);
});
