import { EventEmitter } from "node:events";
import { setTimeout as delay } from "node:timers/promises";
import { type Logger, type Runner, run, type TaskList, type WorkerEvents } from "graphile-worker";
import type { Pool } from "pg";
import { LANES, WorkerPlaces } from "./lanes.js";
import { WorkerLease } from "./worker-lease.js";

/** How often a worker looks for jobs of workers that died, ms. */
const LOOK_FOR_ABANDONED_MS = 1_000;
/** How long a job may be this worker's without being done, before the answer that gave it counts as lost, s. */
const FORGOTTEN_AFTER_SECONDS = 10;

export interface WorkerSessionOptions {
  readonly pool: Pool;
  readonly connectionString: string;
  readonly tasks: TaskList;
  readonly concurrency: number;
  readonly logger: Logger;
  readonly forgottenAfterSeconds?: number;
  /** Ids under which this process has worked before. */
  readonly former?: readonly string[];
}

/** One stretch of working the queue under one lease. It ends when the lease is lost, and another one has to begin. */
export class WorkerSession {
  /** Settles when the shift can do no more work. */
  readonly ended: Promise<void>;
  private isOver = false;

  private constructor(
    /** What the database knows it by. */
    readonly workerId: string,
    private readonly runner: Runner,
    private readonly lease: WorkerLease,
    private readonly doing: ReadonlySet<string>,
    private readonly logger: Logger,
    private readonly forgottenAfterSeconds: number,
    private readonly former: readonly string[],
  ) {
    this.ended = Promise.race([lease.lost, runner.promise, this.watchOverJobs()]).then(
      () => undefined,
      (error: unknown) => logger.warn(`a worker's shift ended: ${String(error)}`),
    );
  }

  static async begin({
    pool,
    connectionString,
    tasks,
    concurrency,
    logger,
    forgottenAfterSeconds = FORGOTTEN_AFTER_SECONDS,
    former = [],
  }: WorkerSessionOptions): Promise<WorkerSession> {
    const doing = new Set<string>();
    const places = new WorkerPlaces(concurrency);
    const events: WorkerEvents = new EventEmitter();
    noteAnswers(events, places);
    let workerId = "";
    const { promise: lease, resolve, reject } = Promise.withResolvers<WorkerLease>();
    // It may fail before anybody waits for it.
    lease.catch(() => {});
    let isHeld = true;
    events.once("pool:create", ({ workerPool }) => {
      workerId = workerPool.id;
      WorkerLease.take(connectionString, workerPool.id).then(resolve, reject);
    });
    const runner = await run({
      pgPool: pool,
      taskList: withJobsNoted(tasks, doing, places),
      concurrency,
      noHandleSignals: true,
      logger,
      events,
      // Asked before every job is taken: none is while the lease is not held.
      forbiddenFlags: async () => {
        await lease;
        if (!isHeld) throw new Error("the lease of this worker is lost");
        return places.ask();
      },
      // Batches are what the library tries again when the database is away.
      preset: { worker: { completeJobBatchDelay: 0, failJobBatchDelay: 0 } },
    });
    try {
      const held = await lease;
      void held.lost.then(() => {
        isHeld = false;
      });
      return new WorkerSession(workerId, runner, held, doing, logger, forgottenAfterSeconds, former);
    } catch (error) {
      await runner.stop();
      throw error;
    }
  }

  /** Ends it once the jobs at hand are done. */
  async end(): Promise<void> {
    this.isOver = true;
    try {
      await this.runner.stop();
    } catch (error) {
      this.logger.debug(`the shift had ended: ${String(error)}`);
    }
    await this.lease.end();
  }

  private async watchOverJobs(): Promise<void> {
    await this.lease.hastenRetries();
    while (!this.isOver) {
      const released = await this.lease.releaseAbandonedJobs(this.former);
      if (released > 0) this.logger.warn(`took up ${released} jobs that were left by workers that died`);
      const moved = await this.lease.followClock();
      if (moved > 0) this.logger.warn(`the database's clock was set back: ${moved} jobs are not to wait for it`);
      await this.lease.advanceWaiting();
      const forgotten = await this.lease.countForgottenJobs([...this.doing], this.forgottenAfterSeconds);
      // Only a worker as a whole can give its jobs back: the next session finds them left by this one.
      if (forgotten > 0) throw new Error(`${forgotten} jobs were given to this worker in an answer that was lost`);
      await delay(LOOK_FOR_ABANDONED_MS, undefined, { ref: false });
    }
  }
}

/** Tells the worker's places when a loop that asked for a job has its answer. */
function noteAnswers(events: WorkerEvents, places: WorkerPlaces): void {
  const asking = new Set<unknown>();
  events.on("worker:getJob:start", ({ worker }) => void asking.add(worker));
  for (const answer of ["worker:getJob:empty", "worker:getJob:error", "job:start"] as const) {
    events.on(answer, ({ worker }) => {
      if (asking.delete(worker)) places.answered();
    });
  }
}

/** The same tasks, each noting its job, and the place that it takes, while it is being done. */
function withJobsNoted(tasks: TaskList, doing: Set<string>, places: WorkerPlaces): TaskList {
  return Object.fromEntries(
    Object.entries(tasks).map(([name, task]) => [
      name,
      async (payload: unknown, helpers: Parameters<NonNullable<typeof task>>[1]) => {
        const id = String(helpers.job.id);
        const lane = LANES.find((one) => helpers.job.flags?.[one]) ?? null;
        doing.add(id);
        places.begin(lane);
        try {
          return await task?.(payload, helpers);
        } finally {
          doing.delete(id);
          places.end(lane);
        }
      },
    ]),
  );
}
