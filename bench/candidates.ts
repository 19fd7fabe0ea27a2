/**
 * Prints what the comparison of a run costs in honest records of 300, 3,000 and 30,000 runs (other sizes as arguments): how many runs it is compared
 * with, and the processor time of the lookup's client and of the comparisons. The runs are those that `bench:load` uploads, 600 of ten packs, each put
 * into the record many times with another origin of time, so that hashes meet as often as in a record of as many runs, and at lags of their own. It fails
 * where a run is called a copy.
 */

import { createRandom } from "../seed/simulator/random.js";
import { isSignificant } from "../src/core/copies/candidates.js";
import { type CopyHashes, hashesToIndex, KIND_SHIFT } from "../src/core/copies/hashes.js";
import { LAST_OFFSET } from "../src/core/copies/sorted-hashes.js";
import { BITS } from "../src/core/copies/window-shape.js";
import { pointSeconds } from "../src/core/copies/windows.js";
import { evaluate } from "../src/core/evaluate.js";
import type { Trace } from "../src/core/model.js";
import { encodeTrace, TRACE_ENCODING } from "../src/core/trace/encode.js";
import { CopiesRepository } from "../src/features/copies/copies.repository.js";
import { compareRuns, makeHashes } from "../src/features/copies/copies-thread.js";
import { NoticeWriter } from "../src/features/notices/notice-writer.service.js";
import { Database } from "../src/platform/database/database.js";
import { startTemporaryServer } from "../src/platform/database/opening/temporary-database.js";
import { Notifications } from "../src/platform/notifications/notifications.js";
import { prepareDatabase } from "../src/prepare-database.js";
import { AMBIENT_C, BENCH, logNumber } from "../test/durability/league-logs.js";
import { indexOfRun, registerRuns } from "../test/support/copies/filled-record.js";
import { PACK } from "../test/support/facts.js";
import { newestProtocol } from "../test/support/protocols.js";
import { CAPACITIES_MAH } from "./load/testers.js";

const SIZES = process.argv.length > 2 ? process.argv.slice(2).map(Number) : [300, 3_000, 30_000];
const POOL = 600;
const QUERIES = 30;
const AT_ONCE = 1_000;
/** Origins of time lie so many seconds apart at most, in steps that are whole points of every kind of hash that the runs have. */
const MAX_SHIFT_S = 60;
const STEP_S = 0.4;

const protocol = newestProtocol("full-load");
const conditions = { ambientC: AMBIENT_C, restMinutes: 30, cycles: 12, setpointA: null };
async function traceNumber(number: number): Promise<Trace> {
  const ratedCapacityMah = CAPACITIES_MAH[number % CAPACITIES_MAH.length] as number;
  const log = new TextEncoder().encode(logNumber(number, ratedCapacityMah));
  const pack = { ...PACK, massGrams: null, ratedCapacityMah };
  return (await evaluate([log], { pack, bench: BENCH, conditions }, protocol)).trace;
}

/** Later than all of the record. */
const LATEST = "ffffffff-ffff-7fff-bfff-ffffffffffff";
const random = createRandom(20);
const shifts: number[] = [];
const shiftOf = (run: number): number => {
  while (shifts.length <= run) shifts.push(STEP_S * Math.round(random.between(-MAX_SHIFT_S, MAX_SHIFT_S) / STEP_S));
  return shifts[run] as number;
};
const shifted = (trace: Trace, seconds: number): Trace => ({ ...trace, time: trace.time.map((t) => t + seconds) });
const encoded = (trace: Trace, name: string) => ({
  evaluationId: name,
  encoding: TRACE_ENCODING,
  data: encodeTrace(trace),
});

const pool: Trace[] = [];
for (let number = 0; number < POOL; number++) pool.push(await traceNumber(number));
const indexed = pool.map((trace) => hashesToIndex(trace));
const queries: Trace[] = [];
for (let number = POOL; number < POOL + QUERIES; number++) queries.push(await traceNumber(number));
const traceOfRun = (run: number): Trace => shifted(pool[run % POOL] as Trace, shiftOf(run));

// Warms the process up.
for (const [i, query] of queries.entries()) {
  const own = encoded(query, `warm ${i}`);
  const others = pool.slice(2 * i, 2 * i + 2).map((trace, k) => {
    const shared = { runId: "", bySamples: BITS, byCourse: BITS };
    return { ...encoded(trace, `warm ${i} ${k}`), runId: "", hint: { shared, alike: true } };
  });
  compareRuns({ runId: LATEST, own, query: makeHashes(own).query, others });
}

/** Puts runs into the index, many at a time. */
async function index(ids: readonly string[], from: number, to: number): Promise<void> {
  for (let first = from; first < to; first += AT_ONCE) {
    const runs = Array.from({ length: Math.min(AT_ONCE, to - first) }, (_, i) => first + i);
    const entries = runs.flatMap((run) => {
      const { hashes, offsets } = indexed[run % POOL] as CopyHashes;
      return Array.from(hashes, (hash, i) => {
        const points = Math.round(shiftOf(run) / pointSeconds(hash >> KIND_SHIFT));
        return { id: ids[run] as string, hash, offset: ((offsets[i] as number) + points) & LAST_OFFSET };
      });
    });
    await database.pool.query(
      `WITH made AS (INSERT INTO copy_fingerprint (run_id, method) SELECT id, '0' FROM unnest($1::uuid[]) AS id RETURNING run_id, number)
       INSERT INTO copy_hash (hash, number, "offset") SELECT hash, number, "offset"
       FROM unnest($2::uuid[], $3::int[], $4::int[]) AS one (run_id, hash, "offset") JOIN made USING (run_id) ORDER BY 1, 2, 3 ON CONFLICT DO NOTHING`,
      [
        runs.map((run) => ids[run]),
        entries.map(({ id }) => id),
        entries.map(({ hash }) => hash),
        entries.map(({ offset }) => offset),
      ],
    );
  }
}

const server = await startTemporaryServer();
const database = new Database(server.connectionString, 2);
try {
  await prepareDatabase(server.connectionString);
  const ids = await registerRuns(database, Math.max(...SIZES));
  const copies = new CopiesRepository(database, new NoticeWriter(new Notifications(database)));
  let [filled, called] = [0, 0];
  for (const size of SIZES) {
    await index(ids, filled, size);
    filled = size;
    await database.pool.query("VACUUM ANALYZE copy_hash");
    let [candidates, most, significant, lookupMs, comparisonMs] = [0, 0, 0, 0, 0];
    for (const [i, query] of queries.entries()) {
      const own = encoded(query, `own ${i}`);
      const hashes = makeHashes(own);
      const begun = process.cpuUsage();
      const named = await copies.candidates(0, hashes.sortedQuery);
      lookupMs += millisecondsSince(begun);
      const others = named.map((shared) => {
        const run = indexOfRun(shared.runId);
        return { ...encoded(traceOfRun(run), shared.runId), runId: shared.runId, hint: { shared, alike: false } };
      });
      const asked = process.cpuUsage();
      called += compareRuns({ runId: LATEST, own, query: hashes.query, others }).length;
      comparisonMs += millisecondsSince(asked);
      candidates += named.length;
      most = Math.max(most, named.length);
      significant += named.filter(isSignificant).length;
    }
    const mean = (sum: number) => (sum / QUERIES).toFixed(1);
    console.log(
      `${size} runs: compared with ${mean(candidates)}, ${most} at most, ${mean(significant)} of them not by chance alone; lookup ${mean(lookupMs)} ms here, comparisons ${mean(comparisonMs)} ms`,
    );
  }
  if (called > 0) process.exitCode = 1;
  console.log(`called copies: ${called}`);
} finally {
  await database.onApplicationShutdown();
  await server.stop();
}

function millisecondsSince(begun: NodeJS.CpuUsage): number {
  const { user, system } = process.cpuUsage(begun);
  return (user + system) / 1000;
}
