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
      await client.query("select pg_advisory_lock(hashtextextended($1, 0))", [workerId]);
    } catch (error) {
      await lease.end();
      throw error;
    }
    return lease;
  }

  /**
   * Puts back into the queue what dead workers hold. The death of a worker is no fault of its jobs and costs them none of
   * their tries.
   *
   * @returns how many jobs were put back
   */
  async releaseAbandonedJobs(): Promise<number> {
    await this.client.query("begin");
    const { rows } = await this.client.query<{ id: string; attempts: number; worker: string }>(
      `with holder as materialized (
         select distinct locked_by from graphile_worker.jobs where locked_by <> $1
       ), dead as materialized (
         select locked_by from holder where pg_try_advisory_xact_lock(hashtextextended(locked_by, 0))
       )
       select id, attempts, locked_by as worker from graphile_worker.jobs where locked_by in (select locked_by from dead)`,
      [this.workerId],
    );
    if (rows.length > 0) {
      const workers = [...new Set(rows.map(({ worker }) => worker))];
      await this.client.query("select graphile_worker.force_unlock_workers($1)", [workers]);
      await this.client.query(
        `select graphile_worker.reschedule_jobs(array_agg(id), attempts => greatest(attempts - 1, 0))
         from unnest($1::bigint[], $2::int[]) as job (id, attempts) group by attempts`,
        [rows.map(({ id }) => id), rows.map(({ attempts }) => attempts)],
      );
    }
    await this.client.query("commit");
    return rows.length;
  }

  /**
   * How many jobs this worker was given for `forSeconds` and more without doing them: the answer that gave them was lost.
   *
   * @param doing ids of the jobs that this worker is doing
   */
  async countForgottenJobs(doing: readonly string[], forSeconds: number): Promise<number> {
    const { rows } = await this.client.query<{ forgotten: number }>(
      `select count(*)::int as forgotten from graphile_worker.jobs
       where locked_by = $1 and id <> all ($2::bigint[]) and locked_at <= now() - make_interval(secs => $3)`,
      [this.workerId, doing, forSeconds],
    );
    return rows[0]?.forgotten ?? 0;
  }

  /** Lets what failed before be tried now: the database was away, or the worker was, and that was hardly the jobs' fault. */
  async hastenRetries(): Promise<void> {
    await this.client.query(
      `select graphile_worker.reschedule_jobs(array_agg(id), run_at => now()) from graphile_worker.jobs
       where locked_at is null and attempts > 0 and attempts < max_attempts and run_at > now()`,
    );
  }

  async end(): Promise<void> {
    await this.client.end();
  }
}
