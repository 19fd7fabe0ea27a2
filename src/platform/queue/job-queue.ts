import { setTimeout as delay } from "node:timers/promises";
import { type BeforeApplicationShutdown, Inject, Injectable, Logger } from "@nestjs/common";
import { Logger as QueueLogger, type TaskList } from "graphile-worker";
import { CONFIG, type Config } from "../config/config.js";
import { Database } from "../database/database.js";
import { isPassing, isStorageUnavailable } from "../database/errors.js";
import { Metrics } from "../metrics/metrics.js";
import { Storage } from "../storage/storage.js";
import { WorkerSession } from "./worker-session.js";

/** One try at a job. */
export interface Attempt {
  /** No other try follows: what the handler throws now ends the job for good. */
  readonly isLast: boolean;
}

/** Does one job. What it throws puts the job back into the queue for a later try. */
export type JobHandler = (payload: unknown, attempt: Attempt) => Promise<void>;

/** Between two tries to work again after the database was away, ms. */
const TRY_AGAIN_MS = 500;
/** The same while nothing can be stored, ms. */
const TRY_AGAIN_WHEN_FULL_MS = 2_000;

/** The durable queue in the database: features say how each task is done, and queue jobs in their own transactions. */
@Injectable()
export class JobQueue implements BeforeApplicationShutdown {
  private readonly logger = new Logger("Queue");
  private readonly handlers = new Map<string, JobHandler>();
  private session: WorkerSession | undefined;
  private working: Promise<void> | undefined;
  private readonly stopping = new AbortController();

  constructor(
    private readonly database: Database,
    @Inject(CONFIG) private readonly config: Config,
    private readonly storage: Storage,
    private readonly metrics: Metrics,
  ) {}

  /** Says how a task is done; before the queue is started. */
  handle(task: string, handler: JobHandler): void {
    this.handlers.set(task, handler);
  }

  /** Begins to work the queue in this process, and goes on after every loss of the database until the process stops. */
  async start(): Promise<void> {
    this.session = await this.beginSession();
    this.working = this.workOn(this.session);
  }

  async beforeApplicationShutdown(): Promise<void> {
    this.stopping.abort();
    await this.session?.end();
    await this.working;
  }

  private async workOn(first: WorkerSession): Promise<void> {
    for (let session: WorkerSession | undefined = first; session; session = await this.nextSession()) {
      this.session = session;
      await session.ended;
      if (this.stopping.signal.aborted) return;
      this.logger.warn("the queue's work was interrupted, and begins again");
      await session.end();
    }
  }

  private async nextSession(): Promise<WorkerSession | undefined> {
    while (!this.stopping.signal.aborted) {
      try {
        const session = await this.beginSession();
        if (!this.stopping.signal.aborted) return session;
        await session.end();
      } catch (error) {
        this.logger.warn(`the queue cannot be worked yet: ${String(error)}`);
        await delay(TRY_AGAIN_MS);
      }
    }
    return undefined;
  }

  private beginSession(): Promise<WorkerSession> {
    const tasks: TaskList = Object.fromEntries(
      Array.from(this.handlers, ([task, handler]) => [
        task,
        (payload, { job }) =>
          this.retryWhilePassing(task, () => handler(payload, { isLast: job.attempts >= job.max_attempts })),
      ]),
    );
    const { pool, connectionString } = this.database;
    const logger = this.queueLogger();
    return WorkerSession.begin({ pool, connectionString, tasks, concurrency: this.config.evaluationThreads, logger });
  }

  /** A try that fails because the database is away or has no room is no try: it begins anew when that has passed. */
  private async retryWhilePassing(task: string, work: () => Promise<void>): Promise<void> {
    for (;;) {
      try {
        await work();
        return;
      } catch (error) {
        if (!isPassing(error)) this.metrics.failedJobs.inc({ task });
        if (!isPassing(error) || this.stopping.signal.aborted) throw error;
        this.storage.noteFailure(error);
        await delay(isStorageUnavailable(error) ? TRY_AGAIN_WHEN_FULL_MS : TRY_AGAIN_MS);
      }
    }
  }

  private queueLogger(): QueueLogger {
    return new QueueLogger(() => (level, message) => {
      if (level === "error") this.logger.error(message);
      else if (level === "warning") this.logger.warn(message);
    });
  }
}
