import { Inject, Injectable } from "@nestjs/common";
import type { WebhookDelivery } from "../../generated/prisma/client.js";
import type { Caller } from "../../platform/auth/account.js";
import { CONFIG, type Config } from "../../platform/config/config.js";
import { idOf } from "../../platform/database/rows/uuid.js";
import { mapPage, type Page, type PageArgs, readPage } from "../../platform/paging/page.js";
import { notFound, Problem } from "../../platform/problems/problem.js";
import { DeliveriesRepository } from "./deliveries/deliveries.repository.js";
import { MessageReasons } from "./deliveries/message-reasons.service.js";
import { RecordChangesService } from "./record-changes/record-changes.service.js";
import { newSecret, secretText } from "./signature.js";
import { webhookUrl } from "./webhook-url.js";
import { type WebhookRow, WebhooksRepository } from "./webhooks.repository.js";
import {
  type NewWebhookView,
  RECORD_CHANGED,
  type WebhookFailureView,
  type WebhookInput,
  type WebhookKind,
  type WebhookView,
} from "./webhooks.views.js";

/** Most webhooks of an account. */
const MAX_WEBHOOKS = 10;
/** How long the secret before a rotation signs too, so that its receiver has time to change over. */
const ROTATION_HOURS = 24;

/** The webhooks of whoever asks, and what these did not take. */
@Injectable()
export class WebhooksService {
  constructor(
    private readonly webhooksRepository: WebhooksRepository,
    private readonly deliveriesRepository: DeliveriesRepository,
    private readonly messageReasons: MessageReasons,
    private readonly recordChangesService: RecordChangesService,
    @Inject(CONFIG) private readonly config: Config,
  ) {}

  /** Makes a webhook and shows its secret this once. One that is made with a key goes with the key. */
  async create({ url, kinds }: WebhookInput, caller: Caller): Promise<NewWebhookView> {
    const secret = newSecret();
    const isToldChanges = kinds?.includes(RECORD_CHANGED) ?? false;
    const stored = await this.webhooksRepository.create(
      {
        accountId: caller.id,
        apiKeyId: caller.scopes ? caller.credentialId : null,
        url: webhookUrl(url, this.config.webhooksToLoopback),
        kinds: kinds ?? [],
        toldPosition: isToldChanges ? await this.recordChangesService.newestPosition() : null,
        secret,
      },
      MAX_WEBHOOKS,
    );
    if (!stored) throw new Problem("limit-reached", `An account may have ${MAX_WEBHOOKS} webhooks. Delete one first.`);
    if (isToldChanges) await this.recordChangesService.begin();
    return { ...webhookView(stored), secret: secretText(secret) };
  }

  async list(args: PageArgs, caller: Caller): Promise<Page<WebhookView>> {
    const page = await readPage(args, {
      name: "webhooks",
      filters: { accountId: caller.id },
      keys: ["uuid"],
      read: (window) => this.webhooksRepository.list(caller.id, window),
      count: () => this.webhooksRepository.count(caller.id),
      keyOf: ({ id }) => [id],
    });
    return mapPage(page, webhookView);
  }

  async get(id: string, caller: Caller): Promise<WebhookView> {
    return webhookView(await this.own(id, caller));
  }

  /** Makes another secret and shows it this once; the one before it signs too for a day. */
  async rotateSecret(id: string, caller: Caller): Promise<NewWebhookView> {
    const secret = newSecret();
    const isThere = await this.webhooksRepository.rotate(idOf(id, "webhook"), caller.id, secret, ROTATION_HOURS);
    if (!isThere) throw notFound("webhook");
    return { ...(await this.get(id, caller)), secret: secretText(secret) };
  }

  /** Enables a webhook again, or disables it, which gives up what it has not taken. */
  async setEnabled(id: string, isEnabled: boolean, caller: Caller): Promise<WebhookView> {
    const webhook = await this.own(id, caller);
    if (isEnabled) {
      await this.webhooksRepository.enable(webhook.id);
      await this.recordChangesService.begin();
    } else await this.webhooksRepository.transaction((tx) => this.webhooksRepository.disable(tx, webhook.id));
    return this.get(webhook.id, caller);
  }

  async delete(id: string, caller: Caller): Promise<void> {
    if (!(await this.webhooksRepository.delete(idOf(id, "webhook"), caller.id))) throw notFound("webhook");
  }

  /** What a webhook did not take and was given up, newest first. */
  async failures(id: string, args: PageArgs, caller: Caller): Promise<Page<WebhookFailureView>> {
    const page = await readPage(args, {
      name: "webhook failures",
      filters: { webhookId: id, accountId: caller.id },
      keys: ["uuid"],
      read: async (window) => this.webhooksRepository.failures((await this.own(id, caller)).id, window),
      count: () => this.webhooksRepository.countFailures(idOf(id, "webhook")),
      keyOf: (delivery) => [delivery.id],
    });
    const bodies = await this.messageReasons.into(page.items);
    const items = page.items.map((delivery, index) =>
      failureView({ ...delivery, body: bodies[index] ?? delivery.body }),
    );
    return { ...page, items };
  }

  /** Tries again, from the first try on, to send what was given up. */
  async resend(id: string, failureId: string, caller: Caller): Promise<void> {
    const webhook = await this.own(id, caller);
    const outcome = await this.deliveriesRepository.resend(webhook.id, idOf(failureId, "failure"));
    if (outcome === null) throw notFound("failure");
    if (outcome === "disabled") throw new Problem("webhook-disabled", "Enable the webhook first.");
  }

  private async own(id: string, caller: Caller): Promise<WebhookRow> {
    const webhook = await this.webhooksRepository.find(idOf(id, "webhook"), caller.id);
    if (!webhook) throw notFound("webhook");
    return webhook;
  }
}

function webhookView({
  id,
  url,
  kinds,
  createdAt,
  previousUntil,
  failures,
  retryAt,
  disabledAt,
}: WebhookRow): WebhookView {
  return {
    id,
    url,
    kinds: kinds.length > 0 ? (kinds as WebhookKind[]) : null,
    createdAt: createdAt.toISOString(),
    previousSecretUntil: previousUntil?.toISOString() ?? null,
    failures,
    retryAt: retryAt?.toISOString() ?? null,
    disabledAt: disabledAt?.toISOString() ?? null,
  };
}

function failureView({
  id,
  type,
  body,
  attempts,
  lastFault,
  createdAt,
  failedAt,
}: WebhookDelivery): WebhookFailureView {
  return {
    id,
    type,
    body,
    attempts,
    fault: lastFault,
    createdAt: createdAt.toISOString(),
    failedAt: (failedAt ?? createdAt).toISOString(),
  };
}
