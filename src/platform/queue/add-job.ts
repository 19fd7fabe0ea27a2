import type { Transaction } from "../database/database.js";

/** Tries at a job; the pauses between them grow from seconds to minutes, about ten minutes together. */
const MOST_ATTEMPTS = 6;

/**
 * Queues a job inside a transaction: it exists when the transaction's rows do, and not otherwise. A job of the same
 * key that still waits is replaced.
 */
export async function addJob(tx: Transaction, task: string, payload: object, key: string): Promise<void> {
  const json = JSON.stringify(payload);
  await tx.$executeRaw`SELECT graphile_worker.add_job(${task}::text, ${json}::json, job_key => ${key}::text, max_attempts => ${MOST_ATTEMPTS}::int)`;
}
