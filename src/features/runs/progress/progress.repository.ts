import { Injectable } from "@nestjs/common";
import type { RunState } from "../../../core/lifecycle/run-lifecycle.js";
import { Database, type Transaction } from "../../../platform/database/database.js";
import { Notifications } from "../../../platform/notifications/notifications.js";
import { progressOfState, type RunProgress } from "./progress.js";

const RUN_STATE = "SELECT state FROM run WHERE id = $1::uuid";

/** How far evaluations have come: what the record knows of it, and what is told to those who listen. */
@Injectable()
export class ProgressRepository {
  constructor(
    private readonly database: Database,
    private readonly notifications: Notifications,
  ) {}

  /** The state of a run that there is. */
  async stateOf(id: string): Promise<RunState> {
    const [run] = await this.database.prepared<{ state: RunState }>("run-state", RUN_STATE, [id]);
    if (!run) throw new Error(`there is no run ${id}`);
    return run.state;
  }

  /** How far a run's evaluation has come, as far as the record knows. */
  async of(id: string): Promise<RunProgress> {
    const select = { state: true, log: { select: { bytes: true } } } as const;
    const { state, log } = await this.database.run.findUniqueOrThrow({ where: { id }, select });
    return progressOfState(state as RunState, Number(log.bytes));
  }

  /** Tells whoever listens; with a transaction, once that is committed. */
  publish(id: string, progress: RunProgress, tx?: Transaction): Promise<void> {
    return tx ? this.notifications.publish(tx, id, progress) : this.notifications.publishNow(id, progress);
  }
}
