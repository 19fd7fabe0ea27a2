import { availableParallelism } from "node:os";
import { join } from "node:path";
import { Piscina } from "piscina";
import type { CopyHashes } from "../../../src/core/copies/hashes.js";
import { loadedStretch } from "../../../src/core/copies/residual.js";
import type { Trace } from "../../../src/core/model.js";
import { CopiesRepository } from "../../../src/features/copies/copies.repository.js";
import { NoticeWriter } from "../../../src/features/notices/notice-writer.service.js";
import { projectRoot } from "../../../src/platform/config/project-root.js";
import type { Database } from "../../../src/platform/database/database.js";
import { Notifications } from "../../../src/platform/notifications/notifications.js";
import type { Alteration } from "./alterations.js";
import { type HonestRun, honestTrace } from "./honest-traces.js";

const RUNS_PER_SPECIMEN = 5;
const SPECIMENS_PER_PACK = 40;
/** Runs whose hashes are made together, on all cores. */
const BATCH = 250;

/** The `index`th run of the record: packs of 40 specimens with 5 runs each. */
export function honestRun(index: number): HonestRun {
  const specimen = Math.floor(index / RUNS_PER_SPECIMEN);
  return {
    pack: Math.floor(specimen / SPECIMENS_PER_PACK),
    specimen: specimen % SPECIMENS_PER_PACK,
    run: index % RUNS_PER_SPECIMEN,
  };
}

/** Id of the `index`th run, and back. */
const runId = (index: number): string => `00000000-0000-7000-8000-${index.toString(16).padStart(12, "0")}`;
export const indexOfRun = (id: string): number => Number.parseInt(id.slice(-12), 16);

/** Puts runs by one tester into an empty record, of which nothing is known but their ids. */
export async function registerRuns({ pool }: Database, runs: number): Promise<string[]> {
  const owner = runId(0);
  await pool.query("INSERT INTO account (id, handle, password_hash) VALUES ($1, 'many-runs', '-')", [owner]);
  await pool.query(
    "INSERT INTO pack (id, maker, name, chemistry, series, parallel, rated_capacity_mah, created_by_id) VALUES ($1, 'Halden Cells', 'Many', 'lipo', 4, 1, 4000, $1)",
    [owner],
  );
  await pool.query("INSERT INTO specimen (id, pack_id, owner_id, label, cycles) VALUES ($1, $1, $1, 'a', 0)", [owner]);
  await pool.query(
    "INSERT INTO bench (id, owner_id, label, load_kind, voltage_percent, voltage_offset, current_percent, current_offset, sense_point) VALUES ($1, $1, 'b', 'throttle', 1, 0, 1, 0, 'pack')",
    [owner],
  );
  await pool.query("INSERT INTO protocol (key, version, document) VALUES ('trial', 1, '{}')");
  const ids = Array.from({ length: runs }, (_, index) => runId(index));
  await pool.query(
    "INSERT INTO log (sha256, bytes, media_type) SELECT sha256(id::bytea), 1, 'text/csv' FROM unnest($1::text[]) AS id",
    [ids],
  );
  await pool.query(
    "INSERT INTO run (id, specimen_id, bench_id, tester_id, protocol_key, protocol_version, log_sha256, file_name) SELECT id::uuid, $2, $2, $2, 'trial', 1, sha256(id::bytea), 'a.csv' FROM unnest($1::text[]) AS id",
    [ids, owner],
  );
  return ids;
}

/** Fills an empty record with runs by one tester, each with the hashes of its trace; `told` hears how many are there. */
export async function fillRecord(
  database: Database,
  runs: number,
  told: (done: number) => void = () => {},
): Promise<void> {
  const ids = await registerRuns(database, runs);
  const copies = new CopiesRepository(database, new NoticeWriter(new Notifications(database)));
  const threads = new Piscina({
    filename: join(projectRoot, "dist/test/support/copies/honest-hashes-thread.js"),
    maxThreads: availableParallelism(),
  });
  for (let first = 0; first < runs; first += BATCH) {
    const some = ids.slice(first, first + BATCH).map((_, i) => honestRun(first + i));
    const hashes: CopyHashes[] = await Promise.all(some.map((run) => threads.run(run)));
    for (const [i, one] of hashes.entries()) await copies.index(ids[first + i] as string, one);
    told(Math.min(runs, first + BATCH));
  }
  await threads.close();
  await database.pool.query("VACUUM ANALYZE copy_hash");
}

/** Lowest rate that the full-load protocol takes, Hz: a copy below it is refused whatever it is a copy of. */
const MIN_RATE_HZ = 4.9;

/** A copy of the run at `index`, or of the next one whose copy the protocol does not refuse for its rate. */
export function alteredCopy(alter: Alteration, index: number, runs: number): { index: number; copy: Trace } {
  for (let at = index % runs; ; at = (at + RUNS_PER_SPECIMEN) % runs) {
    const copy = alter(honestTrace(honestRun(at)), at);
    if (1 / loadedStretch(copy).stepS >= MIN_RATE_HZ) return { index: at, copy };
  }
}
