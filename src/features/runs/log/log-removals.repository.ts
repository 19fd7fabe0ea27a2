import { Injectable } from "@nestjs/common";
import { Prisma } from "../../../generated/prisma/client.js";
import { Database, type Transaction } from "../../../platform/database/database.js";
import { addJobs } from "../../../platform/queue/add-job.js";
import { REMOVE_LOG } from "../jobs.js";

const KEY_PREFIX = `${REMOVE_LOG}:`;

/** Logs of which the bytes are there and to be removed some day, in SQL: a run of them is refused, and none was evaluated. */
const REFUSED = Prisma.sql`
  run.state = 'failed' AND run.error ->> 'code' <> 'internal-error'
  AND NOT EXISTS (SELECT FROM log_removal WHERE log_removal.sha256 = run.log_sha256)
  AND NOT EXISTS (
    SELECT FROM evaluation JOIN run AS evaluated ON evaluated.id = evaluation.run_id
    WHERE evaluated.log_sha256 = run.log_sha256
  )`;

/** Takes the bytes of logs that were refused out of the record. */
@Injectable()
export class LogRemovalsRepository {
  constructor(private readonly database: Database) {}

  /** Queues the removal of logs for when they have been refused for a day. */
  async queue(tx: Transaction, hashes: readonly Uint8Array[]): Promise<void> {
    const jobs = hashes.map((hash) => {
      const sha256 = Buffer.from(hash).toString("hex");
      return { payload: { sha256 }, key: KEY_PREFIX + sha256 };
    });
    await addJobs(tx, REMOVE_LOG, jobs, "after a day");
  }

  /** Queues the removal of every refused log that no job waits to remove. */
  async queueMissing(): Promise<void> {
    const logs = await this.database.$queryRaw<{ sha256: Uint8Array }[]>`
      SELECT DISTINCT run.log_sha256 AS sha256 FROM run
      WHERE ${REFUSED} AND NOT EXISTS (
        SELECT FROM graphile_worker.jobs WHERE key = ${KEY_PREFIX}::text || encode(run.log_sha256, 'hex')
      )`;
    await this.queue(
      this.database,
      logs.map(({ sha256 }) => sha256),
    );
  }

  /** Looks at a log again in a day when it is refused and its bytes are still there. */
  async queueAgain(sha256: Uint8Array<ArrayBuffer>): Promise<void> {
    const logs = await this.database.$queryRaw<unknown[]>`
      SELECT FROM run WHERE run.log_sha256 = ${sha256} AND ${REFUSED} LIMIT 1`;
    if (logs.length > 0) await this.queue(this.database, [sha256]);
  }

  /**
   * Removes the bytes of a log that was refused a day ago or earlier, and notes that.
   *
   * @returns false when the log is not to be removed, or was
   */
  remove(sha256: Uint8Array<ArrayBuffer>): Promise<boolean> {
    return this.database.$transaction(async (tx) => {
      await tx.$executeRaw`SELECT FROM log WHERE sha256 = ${sha256} FOR UPDATE`;
      const [found] = await tx.$queryRaw<{ isRefused: boolean }[]>`SELECT is_log_refused(${sha256}) AS "isRefused"`;
      if (!found?.isRefused) return false;
      const { count } = await tx.logRemoval.createMany({ data: [{ sha256 }], skipDuplicates: true });
      if (count === 0) return false;
      await tx.logChunk.deleteMany({ where: { sha256 } });
      return true;
    });
  }
}
