import type { Transaction } from "../database/database.js";

/**
 * Queues a job inside a transaction: it exists when the transaction's rows do, and not otherwise. A job of the same
 * key that still waits is replaced.
 */
export async function addJob(tx: Transaction, task: string, payload: object, key: string): Promise<void> {
  const json = JSON.stringify(payload);
  await tx.$executeRaw`SELECT graphile_worker.add_job(${task}::text, ${json}::json, job_key => ${key}::text)`;
}
