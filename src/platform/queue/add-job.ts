import type { Transaction } from "../database/database.js";

/** Tries at a job; the pauses between them grow from seconds to minutes, about ten minutes together. */
const MAX_ATTEMPTS = 6;

/** Which jobs come first: what somebody waits for, or what can be done once nobody does. The queue takes low numbers first. */
const PRIORITIES = { awaited: 0, background: 10 } as const;
export type Priority = keyof typeof PRIORITIES;

/**
 * Queues a job inside a transaction: it exists when the transaction's rows do, and not otherwise. A job of the same
 * key that still waits is replaced.
 */
export async function addJob(
  tx: Transaction,
  task: string,
  payload: object,
  key: string,
  priority: Priority = "awaited",
): Promise<void> {
  await addJobs(tx, task, [{ payload, key }], priority);
}

/** Queues several jobs for one task at once, each as `addJob` does. */
export async function addJobs(
  tx: Transaction,
  task: string,
  jobs: readonly { readonly payload: object; readonly key: string }[],
  priority: Priority = "awaited",
): Promise<void> {
  if (jobs.length === 0) return;
  await tx.$executeRaw`
    SELECT graphile_worker.add_job(${task}::text, job -> 'payload', job_key => job ->> 'key', max_attempts => ${MAX_ATTEMPTS}::int,
      priority => ${PRIORITIES[priority]}::int)
    FROM json_array_elements(${JSON.stringify(jobs)}::json) AS job`;
}
