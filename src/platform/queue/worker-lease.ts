import type { Client } from "pg";
import { singleConnection } from "../database/connections/single-connection.js";
import { FOLLOWING_TURN, NOBODYS_TURN } from "./add-job.js";
import { deathsOf, MAX_DEATHS, pauseAfterDeaths } from "./deaths.js";

/** How long the database may take to answer before the lease counts as lost, ms. */
const PATIENCE_MS = 15_000;

/** The server notices within a minute that a worker's machine is gone, and frees its lock. */
const FREED_SOON = `select set_config('tcp_keepalives_idle', '30', false), set_config('tcp_keepalives_interval', '10', false),
  set_config('tcp_keepalives_count', '3', false)`;
/** How long what follows an upload, and what nobody waits for, wait behind what somebody does, s. */
const FOLLOWING_PATIENCE_SECONDS = 30;
const NOBODYS_PATIENCE_SECONDS = 60;
/** Jobs of what follows that get another turn at once. */
const MAX_ADVANCED = 1_000;
/** By so much the clock may be set back without anything being done, s. */
const CLOCK_TOLERANCE_SECONDS = 2;

interface AbandonedJob {
  readonly id: string;
  readonly attempts: number;
  readonly maxAttempts: number;
  readonly worker: string;
}

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
      connectionTimeoutMillis: PATIENCE_MS,
      query_timeout: PATIENCE_MS,
    });
    const lease = new WorkerLease(client, workerId);
    try {
      await client.connect();
      await client.query(FREED_SOON);
      await client.query("select pg_advisory_lock(hashtextextended($1, 0))", [workerId]);
    } catch (error) {
      await lease.end();
      throw error;
    }
    return lease;
  }

  /**
   * Puts back into the queue what dead workers hold. A death costs a job none of its tries, but is counted: a job that ends
   * every worker is given up in the end (`MAX_DEATHS`).
   *
   * @param former ids under which this process worked before it lost its lease: it lives, and nothing is counted
   * @returns how many jobs were put back
   */
  async releaseAbandonedJobs(former: readonly string[] = []): Promise<number> {
    await this.client.query("begin");
    const { rows } = await this.client.query<AbandonedJob>(
      `with holder as materialized (
         select distinct locked_by from graphile_worker.jobs where locked_by <> $1
       ), dead as materialized (
         select locked_by from holder where pg_try_advisory_xact_lock(hashtextextended(locked_by, 0))
       )
       select id, attempts, max_attempts as "maxAttempts", locked_by as worker
       from graphile_worker.jobs where locked_by in (select locked_by from dead)`,
      [this.workerId],
    );
    if (rows.length > 0) {
      const workers = [...new Set(rows.map(({ worker }) => worker))];
      const jobs = rows.map((job) => (former.includes(job.worker) ? asBefore(job) : afterDeath(job)));
      await this.client.query("select graphile_worker.force_unlock_workers($1)", [workers]);
      await this.client.query(
        `select graphile_worker.reschedule_jobs(array[id], attempts => attempts, max_attempts => max_attempts,
           run_at => case when pause > 0 then now() + make_interval(secs => pause) end)
         from unnest($1::bigint[], $2::int[], $3::int[], $4::float8[]) as job (id, attempts, max_attempts, pause)`,
        [
          rows.map(({ id }) => id),
          jobs.map(({ attempts }) => attempts),
          jobs.map(({ maxAttempts }) => maxAttempts),
          jobs.map(({ pauseSeconds }) => pauseSeconds),
        ],
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

  /**
   * Moves jobs that were queued at a time that is still to come: the database's clock was set back since, and they would wait for it to
   * come there again. Each waits from now on as long as it was to wait then.
   *
   * @returns how many jobs were moved
   */
  async followClock(): Promise<number> {
    const { rowCount } = await this.client.query(
      `select moved.id from graphile_worker.jobs as job,
         graphile_worker.reschedule_jobs(array[job.id], run_at => now() + greatest(job.run_at - job.updated_at, interval '0')) as moved
       where job.locked_at is null and job.run_at > now() and job.updated_at > now() + make_interval(secs => $1)`,
      [CLOCK_TOLERANCE_SECONDS],
    );
    return rowCount ?? 0;
  }

  /** Lets what failed before be tried now: the database was away, or the worker was, and that was hardly the jobs' fault. */
  async hastenRetries(): Promise<void> {
    await this.client.query(
      `select graphile_worker.reschedule_jobs(array_agg(id), run_at => now()) from graphile_worker.jobs
       where locked_at is null and attempts > 0 and attempts < max_attempts and run_at > now()`,
    );
  }

  /**
   * Puts before all uploads what follows uploads and has waited for half a minute, and the oldest job that nobody waits for once it has for a whole one:
   * while more is uploaded than can be evaluated, both would wait for ever.
   */
  async advanceWaiting(): Promise<void> {
    await this.client.query(
      `with old as (
         select id, priority, row_number() over (partition by priority order by run_at, id) as place from graphile_worker.jobs
         where priority in ($1, $2) and locked_at is null and attempts < max_attempts
           and run_at < now() - make_interval(secs => case priority when $1 then $3::float8 else $4 end))
       select graphile_worker.reschedule_jobs(array_agg(id order by id), priority => 0) from old
       where place <= case priority when $1 then $5::int else 1 end`,
      [FOLLOWING_TURN, NOBODYS_TURN, FOLLOWING_PATIENCE_SECONDS, NOBODYS_PATIENCE_SECONDS, MAX_ADVANCED],
    );
  }

  async end(): Promise<void> {
    await this.client.end();
  }
}

const asBefore = ({ attempts, maxAttempts }: AbandonedJob) => ({
  attempts: Math.max(attempts - 1, 0),
  maxAttempts,
  pauseSeconds: 0,
});

/** With one try more, which the death has used; the try after the last death that is borne is the last one, and only says so. */
function afterDeath({ attempts, maxAttempts }: AbandonedJob) {
  const more = maxAttempts + 1;
  const deaths = deathsOf({ maxAttempts: more });
  return {
    attempts: deaths >= MAX_DEATHS ? more - 1 : attempts,
    maxAttempts: more,
    pauseSeconds: deaths >= MAX_DEATHS ? 0 : pauseAfterDeaths(deaths),
  };
}
