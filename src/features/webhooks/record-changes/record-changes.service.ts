import { Injectable, type OnModuleInit } from "@nestjs/common";
import { JobQueue } from "../../../platform/queue/job-queue.js";
import { ChangesService } from "../../changes/changes.service.js";
import { DeliveriesRepository, type Message } from "../deliveries/deliveries.repository.js";
import { RecordChangesRepository, TELL_CHANGES, type ToldWebhook } from "./record-changes.repository.js";

/** How often it is looked for changes while anybody is to be told of them. */
const SECONDS_BETWEEN = 5;
/** The type of a message. */
const RECORD_CHANGED_TYPE = "record.changed";

/**
 * Tells webhooks that the public record has changed. However many changes there were, a webhook is sent one message, and none while
 * another is on its way: it says where to read what is new, and nothing of it.
 */
@Injectable()
export class RecordChangesService implements OnModuleInit {
  constructor(
    private readonly jobQueue: JobQueue,
    private readonly changesService: ChangesService,
    private readonly deliveriesRepository: DeliveriesRepository,
    private readonly recordChangesRepository: RecordChangesRepository,
  ) {}

  onModuleInit(): void {
    this.jobQueue.handle(TELL_CHANGES, async () => {
      try {
        await this.tell();
      } finally {
        await this.begin(SECONDS_BETWEEN);
      }
    });
  }

  /** Where a webhook that is made now begins. */
  async newestPosition(): Promise<bigint> {
    return BigInt((await this.changesService.newest()).position);
  }

  /** Looks for changes from now on, while there is anybody to be told of them. */
  async begin(afterSeconds = 0): Promise<void> {
    if (await this.recordChangesRepository.isAnyTold()) await this.recordChangesRepository.queue(afterSeconds);
  }

  /** Tells those who have not heard of the newest change. A record that was restored has other changes than they heard of, which they are told too. */
  async tell(): Promise<void> {
    const recordId = await this.changesService.recordId();
    await this.recordChangesRepository.transaction(async (tx) => {
      const webhooks = await this.recordChangesRepository.toldWebhooks(tx, RECORD_CHANGED_TYPE);
      if (webhooks.length === 0) return;
      const newest = await this.recordChangesRepository.newest(tx);
      const untold = webhooks.filter(({ position, isWaiting }) => position !== newest.position && !isWaiting);
      const messages = untold.map((webhook): Message => {
        const data = { recordId, position: newest.position, path: this.pathBehind(webhook) };
        return { webhookId: webhook.id, type: RECORD_CHANGED_TYPE, at: new Date(), data };
      });
      await this.deliveriesRepository.add(tx, messages);
      const ids = untold.map(({ id }) => id);
      await this.recordChangesRepository.noteTold(tx, ids, newest.position);
    });
  }

  /** Where the changes are read that a webhook was not told of; all where that cannot be said. */
  private pathBehind({ position, changedAtMs }: ToldWebhook): string {
    if (changedAtMs === null) return "/v1/changes";
    return `/v1/changes?after=${this.changesService.cursorAt({ position, changedAtMs })}`;
  }
}
