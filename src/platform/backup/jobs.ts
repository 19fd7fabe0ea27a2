import type { Client } from "pg";

/** A job of the queue as it is queued again. */
interface QueuedJob {
  readonly task: string;
  readonly payload: unknown;
  readonly key: string | null;
  readonly runAt: string;
  readonly maxAttempts: number;
  readonly priority: number;
  readonly flags: readonly string[] | null;
}

/**
 * The jobs that wait, one JSON object a line. The queue's library shows a payload nowhere but in a table of its own, whose
 * form the pinned version fixes; they are queued again by its public function.
 */
export async function* readJobs(client: Client): AsyncGenerator<Uint8Array> {
  const { rows } = await client.query<QueuedJob>(`
    select identifier as task, payload, key, run_at as "runAt", max_attempts as "maxAttempts", priority,
      (select array_agg(flag) from jsonb_object_keys(flags) as flag) as flags
    from graphile_worker._private_jobs as job join graphile_worker._private_tasks as task on task.id = job.task_id
    order by job.id`);
  for (const row of rows) yield Buffer.from(`${JSON.stringify(row)}\n`);
}

/** Queues them in the open transaction of the client. */
export async function queueJobs(client: Client, lines: readonly string[]): Promise<void> {
  for (const line of lines) {
    const { task, payload, key, runAt, maxAttempts, priority, flags } = JSON.parse(line) as QueuedJob;
    await client.query(
      `select graphile_worker.add_job($1::text, $2::json, run_at => $3::timestamptz, max_attempts => $4::int, job_key => $5::text,
        priority => $6::int, flags => $7::text[])`,
      [task, JSON.stringify(payload), runAt, maxAttempts, key, priority, flags],
    );
  }
}
