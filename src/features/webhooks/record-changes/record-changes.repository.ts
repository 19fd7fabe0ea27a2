import { Injectable } from "@nestjs/common";
import { Database, type Transaction } from "../../../platform/database/database.js";
import { addJob, type JobOrder, NOBODYS_TURN } from "../../../platform/queue/add-job.js";
import type { ChangeMark } from "../../changes/changes.service.js";

export const TELL_CHANGES = "tell-changes";

/** A webhook that is told of changes, with the change that it was told of last; null where the record has none of that number. */
export interface ToldWebhook {
  readonly id: string;
  readonly position: number;
  readonly changedAtMs: number | null;
  /** Whether a message of that kind is still on its way to it. */
  readonly isWaiting: boolean;
}

/** Reads and notes which changes of the public record webhooks were told of. */
@Injectable()
export class RecordChangesRepository {
  constructor(private readonly database: Database) {}

  transaction<T>(work: (tx: Transaction) => Promise<T>): Promise<T> {
    return this.database.$transaction(work);
  }

  /** The newest change of the public record; position 0 before the first. */
  async newest(tx: Transaction): Promise<ChangeMark> {
    const rows = await tx.$queryRaw<ChangeMark[]>`
      SELECT position::float8, (extract(epoch FROM changed_at) * 1000)::float8 AS "changedAtMs"
      FROM public_change ORDER BY public_change.position DESC LIMIT 1`;
    return rows[0] ?? { position: 0, changedAtMs: 0 };
  }

  /** Those that are enabled, locked until the transaction ends. */
  toldWebhooks(tx: Transaction, type: string): Promise<ToldWebhook[]> {
    return tx.$queryRaw<ToldWebhook[]>`
      SELECT webhook.id::text, told_position::float8 AS position,
        (SELECT (extract(epoch FROM changed_at) * 1000)::float8 FROM public_change WHERE public_change.position = told_position) AS "changedAtMs",
        EXISTS (
          SELECT FROM webhook_delivery WHERE webhook_id = webhook.id AND type = ${type} AND failed_at IS NULL
        ) AS "isWaiting"
      FROM webhook WHERE told_position IS NOT NULL AND disabled_at IS NULL ORDER BY webhook.id FOR NO KEY UPDATE OF webhook`;
  }

  async noteTold(tx: Transaction, ids: readonly string[], position: number): Promise<void> {
    await tx.webhook.updateMany({ where: { id: { in: [...ids] } }, data: { toldPosition: BigInt(position) } });
  }

  /** Whether anybody is to be told of changes. */
  async isAnyTold(): Promise<boolean> {
    const where = { toldPosition: { not: null }, disabledAt: null };
    return (await this.database.webhook.findFirst({ where, select: { id: true } })) !== null;
  }

  /** Queues the next look; one that waits already is replaced. */
  async queue(afterSeconds: number): Promise<void> {
    const order: JobOrder = { turn: NOBODYS_TURN, lane: "background", afterSeconds };
    await addJob(this.database, TELL_CHANGES, {}, TELL_CHANGES, order);
  }
}
