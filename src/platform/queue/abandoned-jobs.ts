import type { Database } from "../database/database.js";
import { MAX_ATTEMPTS } from "./add-job.js";
import { deathsOf } from "./deaths.js";

/** A job that failed at every try, and waits for nobody but an operator. */
export interface AbandonedJob {
  readonly id: string;
  readonly task: string;
  /** What it is about: the task and an id, as it was queued under; null when the same was queued anew meanwhile. */
  readonly key: string | null;
  /** Tries that failed, without those that a death cut short. */
  readonly failures: number;
  /** Workers that ended while they did it. */
  readonly deaths: number;
  readonly lastError: string;
  /** Since when it is not tried any more. */
  readonly since: Date;
}

interface Row extends Omit<AbandonedJob, "failures" | "deaths" | "lastError"> {
  readonly maxAttempts: number;
  readonly lastError: string | null;
}

/** The jobs that failed at every try, the newest first. */
export async function abandonedJobs(database: Database, atMost: number): Promise<AbandonedJob[]> {
  const rows = await database.$queryRaw<Row[]>`
    SELECT id::text, task_identifier AS task, key, max_attempts AS "maxAttempts", last_error AS "lastError", updated_at AS since
    FROM graphile_worker.jobs WHERE attempts >= max_attempts AND locked_at IS NULL ORDER BY updated_at DESC, id DESC LIMIT ${atMost}::int`;
  return rows.map(({ maxAttempts, lastError, ...job }) => {
    const deaths = deathsOf({ maxAttempts });
    return { ...job, failures: maxAttempts - deaths, deaths, lastError: lastError ?? "" };
  });
}

/** Lets an abandoned job be tried again as if for the first time. False when there is none of this id. */
export async function retryAbandoned(database: Database, id: string): Promise<boolean> {
  const rows = await database.$queryRaw<object[]>`
    SELECT id::text FROM graphile_worker.reschedule_jobs(
      (SELECT array_agg(id) FROM graphile_worker.jobs
        WHERE id = ${id}::bigint AND attempts >= max_attempts AND locked_at IS NULL),
      run_at => now(), attempts => 0, max_attempts => ${MAX_ATTEMPTS}::int)`;
  return rows.length > 0;
}

/** Takes an abandoned job off the list. False when there is none of this id. */
export async function dropAbandoned(database: Database, id: string): Promise<boolean> {
  const rows = await database.$queryRaw<object[]>`
    SELECT id::text FROM graphile_worker.complete_jobs(
      (SELECT array_agg(id) FROM graphile_worker.jobs
        WHERE id = ${id}::bigint AND attempts >= max_attempts AND locked_at IS NULL))`;
  return rows.length > 0;
}
