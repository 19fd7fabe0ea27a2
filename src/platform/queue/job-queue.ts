import { type BeforeApplicationShutdown, Inject, Injectable, Logger } from "@nestjs/common";
import { Logger as QueueLogger, type Runner, run, type TaskList } from "graphile-worker";
import { CONFIG, type Config } from "../config/config.js";
import { Database } from "../database/database.js";

/** Does one job. What it throws puts the job back into the queue for a later try. */
export type JobHandler = (payload: unknown) => Promise<void>;

/** The durable queue in the database: features say how each task is done, and queue jobs in their own transactions. */
@Injectable()
export class JobQueue implements BeforeApplicationShutdown {
  private readonly logger = new Logger("Queue");
  private readonly handlers = new Map<string, JobHandler>();
  private runner: Runner | undefined;

  constructor(
    private readonly database: Database,
    @Inject(CONFIG) private readonly config: Config,
  ) {}

  /** Says how a task is done; before the queue is started. */
  handle(task: string, handler: JobHandler): void {
    this.handlers.set(task, handler);
  }

  /** Begins to work the queue in this process. */
  async start(): Promise<void> {
    const taskList: TaskList = Object.fromEntries(this.handlers);
    this.runner = await run({
      pgPool: this.database.pool,
      taskList,
      concurrency: this.config.evaluationThreads,
      noHandleSignals: true,
      logger: this.queueLogger(),
    });
  }

  async beforeApplicationShutdown(): Promise<void> {
    await this.runner?.stop();
  }

  private queueLogger(): QueueLogger {
    return new QueueLogger(() => (level, message) => {
      if (level === "error") this.logger.error(message);
      else if (level === "warning") this.logger.warn(message);
    });
  }
}
