import { Injectable } from "@nestjs/common";
import type { RunState } from "../../../core/lifecycle/run-lifecycle.js";
import { Database, type Transaction } from "../../../platform/database/database.js";
import { Notifications } from "../../../platform/notifications/notifications.js";
import { progressOfState, type RunProgress } from "./progress.js";

/** How far evaluations have come: what the record knows of it, and what is told to those who listen. */
@Injectable()
export class ProgressRepository {
  constructor(
    private readonly database: Database,
    private readonly notifications: Notifications,
  ) {}

  async stateOf(id: string): Promise<RunState> {
    const { state } = await this.database.run.findUniqueOrThrow({ where: { id }, select: { state: true } });
    return state as RunState;
  }

  /** How far a run's evaluation has come, as far as the record knows. */
  async of(id: string): Promise<RunProgress> {
    const select = { state: true, log: { select: { bytes: true } } } as const;
    const { state, log } = await this.database.run.findUniqueOrThrow({ where: { id }, select });
    return progressOfState(state as RunState, Number(log.bytes));
  }

  /** Tells whoever listens; with a transaction, once that is committed. */
  publish(id: string, progress: RunProgress, tx: Transaction = this.database): Promise<void> {
    return this.notifications.publish(tx, id, progress);
  }
}
