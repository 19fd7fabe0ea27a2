import { randomUUID } from "node:crypto";
import { afterAll, beforeAll, expect, it } from "@jest/globals";
import { createRandom } from "../../../seed/simulator/random.js";
import { startTestApp, type TestApp } from "../../../test/support/app.js";
import { type CopyHashes, KIND_SHIFT } from "../../core/copies/hashes.js";
import { COURSE_LAG_POINTS, MIN_SHARED_HASHES } from "../../core/copies/shared-lags.js";
import { sortedByHash } from "../../core/copies/sorted-hashes.js";
import { FIRST_COURSE } from "../../core/copies/windows.js";
import { CopiesRepository } from "./copies.repository.js";

const RUNS = 60;
const HASHES = 100;
const OFFSETS = 2048;
// PostgreSQL's manual, "Numeric Types": integer.
const MIN_HASH = -(2 ** 31);
const MAX_HASH = 2 ** 31 - 1;
/** As `copies.repository.ts` has them. */
const LAG_POINTS = 4;

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

/** What is promised of candidates, in plain words of a loop: how many of a run's hashes meet the query in one bin of lags, of bins that overlap by half. */
function sharedBy(hashes: CopyHashes, query: CopyHashes): number {
  const bins = new Map<string, Set<string>>();
  hashes.hashes.forEach((hash, i) => {
    const at = (hashes.offsets[i] as number) % OFFSETS;
    query.hashes.forEach((asked, k) => {
      if (asked !== hash) return;
      const kind = hash >> KIND_SHIFT;
      const width = kind < FIRST_COURSE ? LAG_POINTS : 2 * COURSE_LAG_POINTS;
      const lag = (((at - (query.offsets[k] as number)) % OFFSETS) + OFFSETS) % OFFSETS;
      for (const half of [0, 1]) {
        const bin = `${kind} ${half} ${Math.floor((lag + (half * width) / 2) / width)}`;
        bins.set(bin, (bins.get(bin) ?? new Set()).add(`${hash} ${at}`));
      }
    });
  });
  return Math.max(0, ...[...bins.values()].map(({ size }) => size));
}

it("the runs that share most hashes at one lag come first, and none that shares fewer than two", async () => {
  const own = [...indexed.keys()][7] as number;
  const query = someHashes(150);
  const expected = [...indexed]
    .map(([number, { runId, hashes }]) => ({ number, runId, shared: sharedBy(hashes, query) }))
    .filter(({ number, shared }) => number !== own && shared >= MIN_SHARED_HASHES)
    .sort((a, b) => b.shared - a.shared || (a.runId < b.runId ? -1 : 1))
    .slice(0, 40)
    .map(({ runId }) => runId);
  expect(expected.length).toBeGreaterThan(10);
  expect(await copies.candidates(own, sortedByHash(query))).toEqual(expected);
});

it("the least and the largest hash are found, once for each of their places in the query", async () => {
  const runId = randomUUID();
  await app.database.$transaction(async (tx) => {
    await tx.$executeRaw`SET LOCAL session_replication_role = replica`;
    await tx.$executeRaw`
      WITH made AS (INSERT INTO copy_fingerprint (run_id, method) VALUES (${runId}::uuid, '0') RETURNING number)
      INSERT INTO copy_hash (hash, number, "offset") SELECT hash, number, 7 FROM made CROSS JOIN unnest(${[MIN_HASH, MIN_HASH + 1, MAX_HASH - 1, MAX_HASH]}::int[]) AS one (hash)`;
  });
  const found = (...hashes: readonly number[]) =>
    copies.candidates(0, sortedByHash({ hashes: Int32Array.from(hashes), offsets: new Int32Array(hashes.length) }));
  expect(await found(MIN_HASH, MIN_HASH + 1)).toEqual([runId]);
  expect(await found(MAX_HASH, MAX_HASH, MAX_HASH - 1)).toEqual([runId]);
  expect(await found(MIN_HASH, MAX_HASH)).toEqual([]);
  // The one that is at another lag comes first in the query.
  const twice = { hashes: Int32Array.of(MIN_HASH, MIN_HASH, MIN_HASH + 1), offsets: Int32Array.of(1_000, 5, 5) };
  expect(await copies.candidates(0, sortedByHash(twice))).toEqual([runId]);
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
      "SELECT run_id FROM copy_candidates_sorted($1, $2::int[], $3::int[], 26, 2047, 8, 4, 32, 2, 40)",
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
