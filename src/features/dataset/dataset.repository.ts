import { Injectable } from "@nestjs/common";
import { Database } from "../../platform/database/database.js";
import { addJobs, type JobOrder, NOBODYS_TURN } from "../../platform/queue/add-job.js";
import type { ChangeMark } from "../changes/changes.service.js";
import { SINCE_CHANGE, type SinceChange } from "./since-change.js";

export const WRITE_DATASET = "write-dataset";

@Injectable()
export class DatasetRepository {
  constructor(private readonly database: Database) {}

  get connectionString(): string {
    return this.database.connectionString;
  }

  async since({ position, changedAtMs }: ChangeMark): Promise<SinceChange> {
    const rows = await this.database.$queryRawUnsafe<SinceChange[]>(SINCE_CHANGE, position, changedAtMs);
    return rows[0] as SinceChange;
  }

  /** Queues the next snapshot; one of the same kind that waits already is replaced. */
  async queue(kind: "asked" | "daily", afterSeconds: number): Promise<void> {
    const order: JobOrder = { turn: NOBODYS_TURN, lane: "background", afterSeconds };
    const job = { payload: { isDaily: kind === "daily" }, key: `${WRITE_DATASET}:${kind}` };
    await addJobs(this.database, WRITE_DATASET, [job], order);
  }
}
