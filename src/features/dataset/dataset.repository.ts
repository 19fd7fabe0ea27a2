import { Injectable } from "@nestjs/common";
import { Database } from "../../platform/database/database.js";
import { addJobs, type JobOrder, LAST_TURN } from "../../platform/queue/add-job.js";

export const WRITE_DATASET = "write-dataset";

@Injectable()
export class DatasetRepository {
  constructor(private readonly database: Database) {}

  get connectionString(): string {
    return this.database.connectionString;
  }

  /** Whether a tester was erased behind a position. */
  async hasErasureAfter(position: number): Promise<boolean> {
    const rows = await this.database.$queryRaw<object[]>`
      SELECT FROM public_change WHERE event = 'erased' AND public_change.position > ${position}::float8::bigint LIMIT 1`;
    return rows.length > 0;
  }

  /** Queues the next snapshot; one of the same kind that waits already is replaced. */
  async queue(kind: "asked" | "daily", afterSeconds: number): Promise<void> {
    const order: JobOrder = { turn: LAST_TURN + 1, lane: "background", afterSeconds };
    const job = { payload: { isDaily: kind === "daily" }, key: `${WRITE_DATASET}:${kind}` };
    await addJobs(this.database, WRITE_DATASET, [job], order);
  }
}
