import { Injectable } from "@nestjs/common";
import { Database, type Transaction } from "../../../platform/database/database.js";
import { addJob, addJobs } from "../../../platform/queue/add-job.js";

export const DELIVER_WEBHOOK = "deliver-webhook";

/** Given up messages of a webhook that are kept, the newest ones. */
const MAX_FAILED = 100;

/** A message on its way to a webhook. */
export interface WaitingDelivery {
  readonly id: string;
  readonly webhookId: string;
  readonly accountId: string;
  readonly url: string;
  /** The one before the last rotation follows while it is to be signed with too. */
  readonly secrets: readonly Uint8Array[];
  readonly type: string;
  readonly body: string;
  readonly attempts: number;
  /** How long nothing may be tried at its webhook yet, s. */
  readonly waitSeconds: number;
}

/** A webhook that takes something; all kinds where it names none. */
export interface ListeningWebhook {
  readonly id: string;
  readonly accountId: string;
  readonly kinds: readonly string[];
}

/** What is to be sent to webhooks. Later sources than notices write theirs by the same call. */
export interface Message {
  readonly webhookId: string;
  readonly type: string;
  readonly at: Date;
  readonly data: object;
}

@Injectable()
export class DeliveriesRepository {
  constructor(private readonly database: Database) {}

  /** Writes messages and queues their first tries, all in one transaction. */
  async add(tx: Transaction, messages: readonly Message[]): Promise<void> {
    if (messages.length === 0) return;
    const data = messages.map(({ webhookId, type, at, data: content }) => ({
      webhookId,
      type,
      body: JSON.stringify({ type, timestamp: at.toISOString(), data: content }),
    }));
    const added = await tx.webhookDelivery.createManyAndReturn({ data, select: { id: true } });
    const jobs = added.map(({ id }) => ({ payload: { deliveryId: id }, key: `${DELIVER_WEBHOOK}:${id}:0` }));
    await addJobs(tx, DELIVER_WEBHOOK, jobs, "background");
  }

  /** The webhooks of some accounts that take something, and of which kinds; none is deleted until the transaction ends. */
  async webhooksOf(tx: Transaction, accountIds: readonly string[]): Promise<ListeningWebhook[]> {
    const webhooks = await tx.$queryRaw<(ListeningWebhook & { isDisabled: boolean })[]>`
      SELECT id::text, account_id::text AS "accountId", kinds, disabled_at IS NOT NULL AS "isDisabled" FROM webhook
      WHERE account_id = ANY(${[...accountIds]}::uuid[]) ORDER BY id FOR KEY SHARE`;
    return webhooks.filter(({ isDisabled }) => !isDisabled);
  }

  /** Null when there is nothing to send any more. */
  async waiting(id: string): Promise<WaitingDelivery | null> {
    const rows = await this.database.$queryRaw<WaitingDelivery[]>`
      SELECT delivery.id::text, webhook.id::text AS "webhookId", webhook.account_id::text AS "accountId", webhook.url,
        array_remove(ARRAY[webhook.secret, CASE WHEN webhook.previous_until > now() THEN webhook.previous_secret END], NULL) AS secrets,
        delivery.type, delivery.body, delivery.attempts,
        greatest(0, extract(epoch FROM coalesce(webhook.retry_at, now()) - now()))::float8 AS "waitSeconds"
      FROM webhook_delivery AS delivery JOIN webhook ON webhook.id = delivery.webhook_id
      WHERE delivery.id = ${id}::uuid AND delivery.failed_at IS NULL AND webhook.disabled_at IS NULL`;
    return rows[0] ?? null;
  }

  /** Tries a message later. */
  async postpone(tx: Transaction, { id, attempts }: WaitingDelivery, afterSeconds: number): Promise<void> {
    const order = { turn: 0, lane: "background", afterSeconds } as const;
    await addJob(tx, DELIVER_WEBHOOK, { deliveryId: id }, `${DELIVER_WEBHOOK}:${id}:${attempts}`, order);
  }

  transaction<T>(work: (tx: Transaction) => Promise<T>): Promise<T> {
    return this.database.$transaction(work);
  }

  /** The webhook took it: nothing of it is kept. */
  async taken({ id, webhookId }: WaitingDelivery): Promise<void> {
    await this.database.$transaction(async (tx) => {
      await tx.webhook.updateMany({
        where: { id: webhookId, failures: { gt: 0 } },
        data: { failures: 0, retryAt: null },
      });
      await tx.webhookDelivery.deleteMany({ where: { id } });
    });
  }

  /**
   * Notes a failed try.
   *
   * @returns failed tries at the webhook since the last one that succeeded; null when the webhook is no more
   */
  async noteFault(
    tx: Transaction,
    { id, webhookId, accountId }: WaitingDelivery,
    fault: string,
  ): Promise<number | null> {
    // What follows may tell the account's other webhooks: whoever deletes them all waits here, and not in the middle.
    await this.webhooksOf(tx, [accountId]);
    const [webhook] = await tx.$queryRaw<{ failures: number }[]>`
      UPDATE webhook SET failures = failures + 1 WHERE id = ${webhookId}::uuid AND disabled_at IS NULL RETURNING failures`;
    const data = { attempts: { increment: 1 }, lastFault: fault, lastTryAt: new Date() };
    await tx.webhookDelivery.updateMany({ where: { id }, data });
    return webhook?.failures ?? null;
  }

  async holdBack(tx: Transaction, webhookId: string, seconds: number): Promise<void> {
    await tx.$executeRaw`
      UPDATE webhook SET retry_at = now() + make_interval(secs => ${seconds}::float8) WHERE id = ${webhookId}::uuid`;
  }

  /** Gives a message up, and forgets the oldest that were given up before it. */
  async giveUp(tx: Transaction, { id, webhookId }: WaitingDelivery): Promise<void> {
    await tx.webhookDelivery.updateMany({ where: { id, failedAt: null }, data: { failedAt: new Date() } });
    await this.forgetOldest(tx, webhookId);
  }

  async forgetOldest(tx: Transaction, webhookId: string): Promise<void> {
    await tx.$executeRaw`
      DELETE FROM webhook_delivery WHERE id IN (SELECT id FROM webhook_delivery
        WHERE webhook_id = ${webhookId}::uuid AND failed_at IS NOT NULL ORDER BY id DESC OFFSET ${MAX_FAILED}::int)`;
  }

  /** Queues anew what was given up; null when there is no such message. */
  resend(webhookId: string, id: string): Promise<"queued" | "disabled" | null> {
    return this.database.$transaction(async (tx) => {
      const [webhook] = await tx.$queryRaw<{ isDisabled: boolean }[]>`
        SELECT disabled_at IS NOT NULL AS "isDisabled" FROM webhook WHERE id = ${webhookId}::uuid FOR NO KEY UPDATE`;
      if (webhook?.isDisabled) return "disabled";
      const again = { failedAt: null, attempts: 0 };
      const { count } = await tx.webhookDelivery.updateMany({
        where: { id, webhookId, failedAt: { not: null } },
        data: again,
      });
      if (count === 0) return null;
      await tx.webhook.update({ where: { id: webhookId }, data: { retryAt: null }, select: { id: true } });
      await addJob(tx, DELIVER_WEBHOOK, { deliveryId: id }, `${DELIVER_WEBHOOK}:${id}:0`, "background");
      return "queued";
    });
  }
}
