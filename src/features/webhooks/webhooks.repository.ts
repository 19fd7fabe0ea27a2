import { Injectable } from "@nestjs/common";
import type { Prisma, Webhook, WebhookDelivery } from "../../generated/prisma/client.js";
import { Database, type Transaction } from "../../platform/database/database.js";
import { byId } from "../../platform/paging/by-id.js";
import type { Window } from "../../platform/paging/page.js";

/** A webhook without the secrets that sign what it is sent. */
export type WebhookRow = Omit<Webhook, "secret" | "previousSecret">;

const WITHOUT_SECRETS = { secret: true, previousSecret: true } as const;

@Injectable()
export class WebhooksRepository {
  constructor(private readonly database: Database) {}

  /** Null when the account has as many as it may have. */
  create(data: Prisma.WebhookUncheckedCreateInput, most: number): Promise<WebhookRow | null> {
    const { accountId } = data;
    return this.database.$transaction(async (tx) => {
      await tx.$queryRaw`SELECT FROM account WHERE id = ${accountId}::uuid FOR UPDATE`;
      if ((await tx.webhook.count({ where: { accountId } })) >= most) return null;
      return tx.webhook.create({ data, omit: WITHOUT_SECRETS });
    });
  }

  /** Newest first. */
  list(accountId: string, window: Window): Promise<WebhookRow[]> {
    const { where, ...page } = byId(window, "desc");
    return this.database.webhook.findMany({ where: { accountId, ...where }, ...page, omit: WITHOUT_SECRETS });
  }

  count(accountId: string): Promise<number> {
    return this.database.webhook.count({ where: { accountId } });
  }

  find(id: string, accountId: string): Promise<WebhookRow | null> {
    return this.database.webhook.findFirst({ where: { id, accountId }, omit: WITHOUT_SECRETS });
  }

  async delete(id: string, accountId: string): Promise<boolean> {
    return (await this.database.webhook.deleteMany({ where: { id, accountId } })).count > 0;
  }

  /** Signs with another secret from now on, and with the one before it too for so long; false when there is no such webhook. */
  async rotate(id: string, accountId: string, secret: Uint8Array, hours: number): Promise<boolean> {
    const count = await this.database.$executeRaw`
      UPDATE webhook SET previous_secret = secret, previous_until = now() + make_interval(hours => ${hours}::int), secret = ${secret}
      WHERE id = ${id}::uuid AND account_id = ${accountId}::uuid`;
    return count > 0;
  }

  async enable(id: string): Promise<void> {
    await this.database.webhook.updateMany({ where: { id }, data: { disabledAt: null, failures: 0, retryAt: null } });
  }

  /** Sends nothing more to a webhook, and gives up what it has not taken. */
  async disable(tx: Transaction, id: string): Promise<void> {
    await tx.webhook.updateMany({ where: { id, disabledAt: null }, data: { disabledAt: new Date(), retryAt: null } });
    await tx.webhookDelivery.updateMany({ where: { webhookId: id, failedAt: null }, data: { failedAt: new Date() } });
  }

  transaction<T>(work: (tx: Transaction) => Promise<T>): Promise<T> {
    return this.database.$transaction(work);
  }

  /** What a webhook did not take and was given up, newest first. */
  failures(webhookId: string, window: Window): Promise<WebhookDelivery[]> {
    const { where, ...page } = byId(window, "desc");
    return this.database.webhookDelivery.findMany({ where: { webhookId, failedAt: { not: null }, ...where }, ...page });
  }

  countFailures(webhookId: string): Promise<number> {
    return this.database.webhookDelivery.count({ where: { webhookId, failedAt: { not: null } } });
  }
}
