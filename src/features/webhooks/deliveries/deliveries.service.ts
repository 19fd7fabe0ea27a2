import { Inject, Injectable, type OnModuleInit } from "@nestjs/common";
import type { Notice } from "../../../generated/prisma/client.js";
import { CONFIG, type Config } from "../../../platform/config/config.js";
import type { Transaction } from "../../../platform/database/database.js";
import { postJson } from "../../../platform/outgoing/post-json.js";
import { JobQueue } from "../../../platform/queue/job-queue.js";
import { type NoticeOutlet, NoticeWriter, noticeView } from "../../notices/notice-writer.service.js";
import { signedHeaders } from "../signature.js";
import { WebhooksRepository } from "../webhooks.repository.js";
import { DELIVER_WEBHOOK, DeliveriesRepository, type WaitingDelivery } from "./deliveries.repository.js";
import { MessageReasons } from "./message-reasons.service.js";
import { faultOf, isGone, isTaken } from "./outcome.js";

/** How many messages' worth of tries may fail in a row until a webhook is disabled. */
const MESSAGES_UNTIL_DISABLED = 3;

/** Sends webhooks what their accounts are told: each message again and again, until it is taken or given up. */
@Injectable()
export class DeliveriesService implements NoticeOutlet, OnModuleInit {
  constructor(
    private readonly jobQueue: JobQueue,
    private readonly noticeWriter: NoticeWriter,
    private readonly deliveriesRepository: DeliveriesRepository,
    private readonly webhooksRepository: WebhooksRepository,
    private readonly messageReasons: MessageReasons,
    @Inject(CONFIG) private readonly config: Config,
  ) {}

  onModuleInit(): void {
    this.noticeWriter.addOutlet(this);
    this.jobQueue.handle(DELIVER_WEBHOOK, (payload) => this.deliver((payload as { deliveryId: string }).deliveryId));
  }

  async told(tx: Transaction, notices: readonly Notice[]): Promise<void> {
    const webhooks = await this.deliveriesRepository.webhooksOf(tx, [...new Set(notices.map((one) => one.accountId))]);
    const messages = notices.flatMap((notice) =>
      webhooks
        .filter(({ accountId, kinds }) => accountId === notice.accountId && takes(kinds, notice.kind))
        .map(({ id }) => {
          return { webhookId: id, type: `notice.${notice.kind}`, at: notice.createdAt, data: noticeView(notice, null) };
        }),
    );
    await this.deliveriesRepository.add(tx, messages);
  }

  async hold(tx: Transaction, accountIds: readonly string[]): Promise<void> {
    await this.deliveriesRepository.webhooksOf(tx, accountIds);
  }

  /** Tries once to send a message. While its webhook is held back after a failure it waits, which is no try. */
  async deliver(id: string): Promise<void> {
    const delivery = await this.deliveriesRepository.waiting(id);
    if (!delivery) return;
    if (delivery.waitSeconds > 0) {
      const { waitSeconds } = delivery;
      await this.deliveriesRepository.transaction((tx) =>
        this.deliveriesRepository.postpone(tx, delivery, waitSeconds),
      );
      return;
    }
    const status = await this.post(delivery);
    if (isTaken(status)) await this.deliveriesRepository.taken(delivery);
    else await this.deliveriesRepository.transaction((tx) => this.failed(tx, delivery, status));
  }

  /** The status of the answer, or why there is none. */
  private async post(delivery: WaitingDelivery): Promise<number | string> {
    const { id, url, secrets } = delivery;
    const { webhookSeconds, webhooksToLoopback } = this.config;
    const [body = delivery.body] = await this.messageReasons.into([delivery]);
    try {
      return await postJson(new URL(url), body, {
        headers: { ...signedHeaders(id, new Date(), body, secrets), "user-agent": "packledger" },
        timeoutMs: webhookSeconds * 1_000,
        loopbackToo: webhooksToLoopback,
      });
    } catch (error) {
      return faultOf(error, webhookSeconds);
    }
  }

  private async failed(tx: Transaction, delivery: WaitingDelivery, status: number | string): Promise<void> {
    const { webhookId, accountId, attempts } = delivery;
    const pauses = this.config.webhookRetrySeconds;
    const fault = typeof status === "number" ? `answered ${status}` : status;
    const failures = await this.deliveriesRepository.noteFault(tx, delivery, fault);
    if (failures === null) return;
    if (isGone(status) || failures >= MESSAGES_UNTIL_DISABLED * (pauses.length + 1)) {
      await this.webhooksRepository.disable(tx, webhookId);
      await this.deliveriesRepository.forgetOldest(tx, webhookId);
      await this.noticeWriter.tell(tx, [
        { kind: "webhook-disabled", accountId, subjectId: webhookId, facts: { fault } },
      ]);
      return;
    }
    const pause = pauses[Math.min(failures, pauses.length) - 1] ?? 0;
    await this.deliveriesRepository.holdBack(tx, webhookId, pause);
    if (attempts >= pauses.length) await this.deliveriesRepository.giveUp(tx, delivery);
    else await this.deliveriesRepository.postpone(tx, { ...delivery, attempts: attempts + 1 }, pause);
  }
}

const takes = (kinds: readonly string[], kind: string): boolean => kinds.length === 0 || kinds.includes(kind);
