import { setTimeout as delay } from "node:timers/promises";
import { type BeforeApplicationShutdown, Injectable, Logger, type OnModuleInit } from "@nestjs/common";
import { Notifications } from "../../../platform/notifications/notifications.js";
import { JobQueue } from "../../../platform/queue/job-queue.js";
import { type Lot, SCORE_DUE, SCORE_QUEUE, ScoresRepository } from "./scores.repository.js";

/** What one transaction of a job does. */
const LOT: Lot = { changes: 200, marked: 1_000, scored: 100 };
/** What a read of the queue does first, so that it shows what has just happened; the rest is left to the job. */
const LOT_OF_READ: Lot = { changes: 50, marked: 25, scored: 25 };
/** Lots of one job: others get their turn between two. */
const LOTS_OF_JOB = 50;
/** Pause where all that is left is held by transactions at work, ms. */
const HELD_MS = 100;
/** How long changes are gathered before a job is queued for all of them, ms. */
const GATHERED_MS = 1_000;

/** Scores what changes in the moderators' queue, by lots. */
@Injectable()
export class ScoresService implements OnModuleInit, BeforeApplicationShutdown {
  private readonly logger = new Logger("Scores");
  private stopListening: (() => void) | undefined;
  private gathering: NodeJS.Timeout | undefined;
  private queueing: Promise<void> | undefined;

  constructor(
    private readonly jobQueue: JobQueue,
    private readonly notifications: Notifications,
    private readonly scoresRepository: ScoresRepository,
  ) {}

  onModuleInit(): void {
    this.jobQueue.handle(SCORE_QUEUE, () => this.score());
  }

  /** Queues, from now on, a job for what changes, whichever process changes it; and for what is left from before: all that wait, after an upgrade. */
  async watch(): Promise<void> {
    // A listener is also called when messages may have been missed.
    this.stopListening ??= await this.notifications.listen(SCORE_DUE, () => this.gather());
    await this.scoresRepository.queueWhereLeft();
  }

  async beforeApplicationShutdown(): Promise<void> {
    this.stopListening?.();
    this.stopListening = undefined;
    clearTimeout(this.gathering);
    await this.queueing;
  }

  /** Scores a few runs before the queue is read; nothing where a job is at it. */
  async catchUp(): Promise<void> {
    if (await this.scoresRepository.isLeft()) await this.scoresRepository.scoreSome(LOT_OF_READ, { wait: false });
  }

  private gather(): void {
    this.gathering ??= setTimeout(() => {
      // What is told from here on may come too late for this look.
      this.gathering = undefined;
      this.queueing = this.queue();
    }, GATHERED_MS);
  }

  private async queue(): Promise<void> {
    try {
      await this.scoresRepository.queueWhereLeft();
    } catch (error) {
      this.logger.warn(`the scoring of what has changed cannot be queued yet: ${String(error)}`);
      if (this.stopListening) this.gather();
    }
  }

  /** Scores until nothing is left, or another job goes on. */
  private async score(): Promise<void> {
    for (let lots = 0; await this.scoresRepository.isLeft(); lots++) {
      if (lots === LOTS_OF_JOB) return this.scoresRepository.queue();
      if (!(await this.scoresRepository.scoreSome(LOT, { wait: true }))) await delay(HELD_MS);
    }
  }
}
