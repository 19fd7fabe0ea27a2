import { createHash } from "node:crypto";
import { setTimeout as delay } from "node:timers/promises";
import { Client } from "pg";
import { CHUNK_BYTES, type StoredChunk, unpackChunk } from "../../src/platform/storage/packed-chunk.js";
import type { Acknowledged } from "./uploaders.js";

/** How long the queue may take to do what is left: so long that only what never ends is given up, ms. */
const PATIENCE_MS = 900_000;

/** What is wrong with the record: each list names runs, and should be empty. */
export interface Findings {
  /** Acknowledged, but not in the record. */
  readonly lost: readonly string[];
  /** Acknowledged, but the bytes in the record are not those that were sent. */
  readonly changed: readonly string[];
  /** In the record, acknowledged or not, but without an evaluation. */
  readonly unfinished: readonly string[];
  readonly evaluatedTwice: readonly string[];
  readonly jobsLeft: number;
}

interface RunRow {
  readonly id: string;
  readonly state: string;
  readonly evaluations: number;
  readonly log: Buffer;
  sha256: string;
}

/**
 * Holds the record against what was acknowledged, once the queue is done, or should be.
 *
 * @param jobsExpected how many are left for good
 */
export async function inspectRecord(
  connectionString: string,
  acknowledged: readonly Acknowledged[],
  jobsExpected = 0,
): Promise<Findings> {
  const client = new Client({ connectionString });
  await client.connect();
  try {
    const jobsLeft = await untilDone(client, jobsExpected);
    // The bytes themselves are hashed, not the hash that stands beside them.
    const { rows } = await client.query<RunRow>(`
      SELECT run.id::text, run.state, log_sha256 AS log,
        (SELECT count(*)::int FROM evaluation WHERE evaluation.run_id = run.id) AS evaluations
      FROM run`);
    for (const row of rows) row.sha256 = await digestOfBytes(client, row.log);
    const byId = new Map(rows.map((row) => [row.id, row]));
    const runIdsOf = (wrong: (row: RunRow) => boolean) => rows.filter(wrong).map(({ id, state }) => `${id} ${state}`);
    return {
      lost: acknowledged.filter(({ id }) => !byId.has(id)).map(({ id }) => id),
      changed: acknowledged.filter(({ id, sha256 }) => byId.get(id)?.sha256 !== sha256).map(({ id }) => id),
      unfinished: runIdsOf(({ state, evaluations }) => state !== "processed" || evaluations === 0),
      evaluatedTwice: runIdsOf(({ evaluations }) => evaluations > 1),
      jobsLeft,
    };
  } finally {
    await client.end();
  }
}

/** SHA-256 of the bytes of a log that are stored, hexadecimal. */
async function digestOfBytes(client: Client, log: Buffer): Promise<string> {
  const { rows } = await client.query<StoredChunk & { left: number }>(
    `SELECT log_chunk.bytes, packed, log.bytes::float8 - ${CHUNK_BYTES} * "position" AS left
     FROM log_chunk JOIN log USING (sha256) WHERE log_chunk.sha256 = $1 ORDER BY "position"`,
    [log],
  );
  const hash = createHash("sha256");
  for (const { left, ...chunk } of rows) hash.update(await unpackChunk(chunk, Math.min(left, CHUNK_BYTES)));
  return hash.digest("hex");
}

/** Waits until no job is left but those that a later hour is set for; returns how many are after all. One that failed is left, however late. */
async function untilDone(client: Client, jobsExpected: number): Promise<number> {
  for (let waitedMs = 0; ; waitedMs += 250) {
    const { rows } = await client.query(
      "SELECT count(*)::int AS jobs FROM graphile_worker.jobs WHERE attempts > 0 OR run_at < now() + interval '1 minute'",
    );
    const { jobs } = rows[0] as { jobs: number };
    if (jobs <= jobsExpected || waitedMs >= PATIENCE_MS) return jobs;
    await delay(250);
  }
}
