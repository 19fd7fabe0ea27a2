import { Injectable, type OnApplicationShutdown, type OnModuleInit } from "@nestjs/common";
import { Database } from "../database/database.js";

const EVERY_MS = 5 * 60_000;
/** How long a count is kept after its window. */
const KEPT_MS = 60 * 60_000;

/** Removes what is counted in the database and has expired, for all limits at once and as long as the service runs. */
@Injectable()
export class ExpiredLimitsRepository implements OnModuleInit, OnApplicationShutdown {
  private timer: NodeJS.Timeout | null = null;

  constructor(private readonly database: Database) {}

  onModuleInit(): void {
    // Where the database is away, the next time removes it.
    this.timer = setInterval(() => void this.clear().catch(() => undefined), EVERY_MS).unref();
  }

  async clear(): Promise<void> {
    await this.database.limitState.deleteMany({ where: { expire: { lt: BigInt(Date.now() - KEPT_MS) } } });
  }

  /** Whether it does so by itself. */
  get isRunning(): boolean {
    return this.timer !== null;
  }

  onApplicationShutdown(): void {
    if (this.timer) clearInterval(this.timer);
    this.timer = null;
  }
}
