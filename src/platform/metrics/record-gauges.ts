import { Injectable, type OnModuleInit } from "@nestjs/common";
import { Database } from "../database/database.js";
import { Metrics } from "./metrics.js";

interface Waiting {
  readonly task: string;
  readonly jobs: number;
  readonly ageSeconds: number;
}

/** What is read off the record and its connections when the metrics are asked for. */
@Injectable()
export class RecordGauges implements OnModuleInit {
  constructor(
    private readonly database: Database,
    private readonly metrics: Metrics,
  ) {}

  onModuleInit(): void {
    const { pool } = this.database;
    this.metrics.gauge("database_connections", "Connections to the record, by what they do", ["state"], (gauge) => {
      const { all, idle } = pool.counted;
      gauge.set({ state: "idle" }, idle);
      gauge.set({ state: "busy" }, all - idle);
      gauge.set({ state: "awaited" }, pool.awaited);
    });
    this.queueGauges();
  }

  /** A job waits from the time on at which it may be done; one that gave up counts as failed and waits no more. */
  private queueGauges(): void {
    let ages: readonly Waiting[] = [];
    this.metrics.gauge("queued_jobs", "Jobs that could be done and are not yet, by task", ["task"], async (gauge) => {
      gauge.reset();
      ages = await this.waiting();
      for (const { task, jobs } of ages) gauge.set({ task }, jobs);
    });
    this.metrics.gauge("queue_age_seconds", "How long the oldest of them has waited", ["task"], (gauge) => {
      gauge.reset();
      for (const { task, ageSeconds } of ages) gauge.set({ task }, ageSeconds);
    });
    this.metrics.gauge(
      "abandoned_jobs",
      "Jobs that failed at every try and wait for nobody",
      ["task"],
      async (gauge) => {
        gauge.reset();
        for (const { task, jobs } of await this.givenUp()) gauge.set({ task }, jobs);
      },
    );
  }

  private waiting(): Promise<Waiting[]> {
    return this.database.$queryRaw<Waiting[]>`
      SELECT task_identifier AS task, count(*)::int AS jobs,
        extract(epoch FROM now() - min(run_at))::float8 AS "ageSeconds"
      FROM graphile_worker.jobs WHERE run_at <= now() AND attempts < max_attempts GROUP BY 1 ORDER BY 1`;
  }

  private givenUp(): Promise<Pick<Waiting, "task" | "jobs">[]> {
    return this.database.$queryRaw<Pick<Waiting, "task" | "jobs">[]>`
      SELECT task_identifier AS task, count(*)::int AS jobs
      FROM graphile_worker.jobs WHERE attempts >= max_attempts AND locked_at IS NULL GROUP BY 1 ORDER BY 1`;
  }
}
