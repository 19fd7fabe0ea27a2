import type { Client } from "pg";
import { singleConnection } from "../database/single-connection.js";

/** How long the database may take to answer before the lease counts as lost, ms. */
const PATIENCE_MS = 15_000;

/**
 * A worker's word that it lives: an advisory lock, held by a session of its own for as long as it works. The database
 * frees the lock in the instant in which the worker, or the way to it, is gone; then its jobs are anybody's.
 */
export class WorkerLease {
  /** Settles when the session has ended, for whatever reason. */
  readonly lost: Promise<void>;

  private constructor(
    private readonly client: Client,
    private readonly workerId: string,
  ) {
    this.lost = new Promise((resolve) => {
      client.once("end", () => resolve());
      client.on("error", () => resolve());
    });
  }

  static async take(connectionString: string, workerId: string): Promise<WorkerLease> {
    const client = singleConnection({
      connectionString,
      keepAlive: true,
      connectionTimeoutMillis: PATIENCE_MS,
      query_timeout: PATIENCE_MS,
    });
    const lease = new WorkerLease(client, workerId);
    try {
      await client.connect();
      await client.query("SELECT pg_advisory_lock(hashtextextended($1, 0))", [workerId]);
    } catch (error) {
      await lease.end();
      throw error;
    }
    return lease;
  }

  /**
   * Puts back into the queue what dead workers hold, and what this worker was given in an answer that never reached it.
   * The death of a worker is no fault of its job and costs it none of its tries.
   *
   * @param doing ids of the jobs that this worker is doing
   * @returns how many jobs were put back
   */
  async releaseAbandonedJobs(doing: readonly string[]): Promise<number> {
    const { rowCount } = await this.client.query(
      `WITH holder AS MATERIALIZED (
         SELECT DISTINCT locked_by FROM graphile_worker._private_jobs WHERE locked_by <> $1
       ), dead AS MATERIALIZED (
         SELECT locked_by FROM holder WHERE pg_try_advisory_xact_lock(hashtextextended(locked_by, 0))
       )
       UPDATE graphile_worker._private_jobs AS job
       SET locked_at = NULL, locked_by = NULL, run_at = least(run_at, now()), attempts = greatest(attempts - 1, 0)
       WHERE job.locked_by IN (SELECT locked_by FROM dead)
         OR (job.locked_by = $1 AND job.id <> ALL ($2::bigint[]) AND job.locked_at < now() - interval '10 seconds')`,
      [this.workerId, doing],
    );
    return rowCount ?? 0;
  }

  /** Lets what failed before be tried now: the database was away, or the worker was, and that was hardly the jobs' fault. */
  async hastenRetries(): Promise<void> {
    await this.client.query(
      `UPDATE graphile_worker._private_jobs SET run_at = now()
       WHERE locked_at IS NULL AND attempts > 0 AND attempts < max_attempts AND run_at > now()`,
    );
  }

  async end(): Promise<void> {
    await this.client.end();
  }
}
