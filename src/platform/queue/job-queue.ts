import { setTimeout as delay } from "node:timers/promises";
import { type BeforeApplicationShutdown, Inject, Injectable, Logger } from "@nestjs/common";
import { type Job, Logger as QueueLogger, type TaskList } from "graphile-worker";
import { CONFIG, type Config } from "../config/config.js";
import { Database } from "../database/database.js";
import { isPassing, isStorageUnavailable } from "../database/errors.js";
import { Metrics } from "../metrics/metrics.js";
import { Storage } from "../storage/storage.js";
import { readTraceparent } from "../tracing/trace-context.js";
import { tracer } from "../tracing/tracer.js";
import { deathsOf, EndsWorkers, MAX_DEATHS } from "./deaths.js";
import { WorkerSession } from "./worker-session.js";

/** Does one job. What it throws puts the job back into the queue for a later try. */
export type JobHandler = (payload: unknown) => Promise<void>;

/** Says of a job that failed at its last try what follows from that. It stays among the abandoned jobs. */
export type GiveUp = (payload: unknown, failure: unknown) => Promise<void>;

interface Task {
  readonly handler: JobHandler;
  readonly giveUp: GiveUp | undefined;
}

/** Between two tries to work again after the database was away, ms. */
const TRY_AGAIN_MS = 500;
/** The same while nothing can be stored, ms. */
const TRY_AGAIN_WHEN_FULL_MS = 2_000;

/** So often in a row may a job find the database away that answers in between: then it is the job that fails, and that counts as one try. */
const MAX_FAILURES_WHILE_ANSWERING = 20;

/** A job fails again and again as if the database were away, which is not. */
class FailsAlone extends Error {
  override readonly name = "FailsAlone";

  constructor(cause: unknown) {
    super(`the database answers, and yet: ${cause instanceof Error ? cause.message : String(cause)}`, { cause });
  }
}

/** The durable queue in the database: features say how each task is done, and queue jobs in their own transactions. */
@Injectable()
export class JobQueue implements BeforeApplicationShutdown {
  private readonly logger = new Logger("Queue");
  private readonly tasks = new Map<string, Task>();
  /** Under which ids this process has worked, before it lost the database. */
  private readonly former: string[] = [];
  private session: WorkerSession | undefined;
  private working: Promise<void> | undefined;
  private readonly stopping = new AbortController();

  constructor(
    private readonly database: Database,
    @Inject(CONFIG) private readonly config: Config,
    private readonly storage: Storage,
    private readonly metrics: Metrics,
  ) {}

  /** Says how a task is done, and what follows when that failed at every try; before the queue is started. */
  handle(task: string, handler: JobHandler, giveUp?: GiveUp): void {
    this.tasks.set(task, { handler, giveUp });
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
      this.former.push(session.workerId);
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
      Array.from(this.tasks, ([name, task]) => [
        name,
        (payload, { job }) =>
          this.retryWhilePassing(name, (failure) => traced(name, payload, () => attempt(task, payload, job, failure))),
      ]),
    );
    const { sessions: pool, connectionString } = this.database;
    const logger = this.queueLogger();
    const { former } = this;
    const concurrency = this.config.evaluationThreads;
    return WorkerSession.begin({ pool, connectionString, tasks, concurrency, logger, former });
  }

  /**
   * A try that fails because the database is away or has no room is no try: it begins anew when that has passed.
   *
   * @param work does one try, and is told what failed when nothing was left to try
   */
  private async retryWhilePassing(task: string, work: (failure: FailsAlone | null) => Promise<void>): Promise<void> {
    let failure: FailsAlone | null = null;
    for (let whileAnswering = 0; ; ) {
      try {
        await work(failure);
        return;
      } catch (error) {
        if (!isPassing(error)) this.metrics.failedJobs.inc({ task });
        if (!isPassing(error) || this.stopping.signal.aborted) throw error;
        this.storage.noteFailure(error);
        const lacksRoom = isStorageUnavailable(error);
        whileAnswering = !lacksRoom && (await this.databaseAnswers()) ? whileAnswering + 1 : 0;
        failure = whileAnswering < MAX_FAILURES_WHILE_ANSWERING ? null : new FailsAlone(error);
        await delay(lacksRoom ? TRY_AGAIN_WHEN_FULL_MS : TRY_AGAIN_MS);
      }
    }
  }

  private async databaseAnswers(): Promise<boolean> {
    try {
      await this.database.$queryRaw`SELECT 1`;
      return true;
    } catch (error) {
      this.logger.debug(`the database does not answer: ${String(error)}`);
      return false;
    }
  }

  private queueLogger(): QueueLogger {
    return new QueueLogger(() => (level, message) => {
      if (level === "error") this.logger.error(message);
      else if (level === "warning") this.logger.warn(message);
    });
  }
}

/** One try at a job. A failure that passes by itself never ends a job for good. */
async function attempt(
  { handler, giveUp }: Task,
  payload: unknown,
  job: Job,
  failure: FailsAlone | null,
): Promise<void> {
  const isLast = job.attempts >= job.max_attempts;
  try {
    if (isLast && deathsOf({ maxAttempts: job.max_attempts }) >= MAX_DEATHS) throw new EndsWorkers();
    if (failure) throw failure;
    await handler(payload);
  } catch (error) {
    if (isLast && !isPassing(error)) await giveUp?.(payload, error);
    throw error;
  }
}

/** As part of the trace of who queued it, where that is known (OpenTelemetry: messaging spans). */
async function traced(task: string, payload: unknown, work: () => Promise<void>): Promise<void> {
  const tracing = tracer();
  if (!tracing) return work();
  const parent = readTraceparent((payload as { traceparent?: unknown } | null)?.traceparent);
  const attributes = {
    "messaging.system": "packledger",
    "messaging.operation.type": "process",
    "messaging.destination.name": task,
  };
  await tracing.span(`process ${task}`, { kind: "consumer", parent, attributes }, work);
}
