import { setTimeout as delay } from "node:timers/promises";
import { Injectable, type OnModuleInit } from "@nestjs/common";
import { JobQueue } from "../../../platform/queue/job-queue.js";
import { type Lot, SCORE_QUEUE, ScoresRepository } from "./scores.repository.js";

/** What one transaction of a job does. */
const LOT: Lot = { changes: 200, marked: 1_000, scored: 100 };
/** What a read of the queue does first, so that it shows what has just happened; the rest is left to the job. */
const LOT_OF_READ: Lot = { changes: 50, marked: 25, scored: 25 };
/** Lots of one job: others get their turn between two. */
const LOTS_OF_JOB = 50;
/** Pause where all that is left is held by transactions at work, ms. */
const HELD_MS = 100;

/** Scores what changes in the moderators' queue, by lots. */
@Injectable()
export class ScoresService implements OnModuleInit {
  constructor(
    private readonly jobQueue: JobQueue,
    private readonly scoresRepository: ScoresRepository,
  ) {}

  onModuleInit(): void {
    this.jobQueue.handle(SCORE_QUEUE, () => this.score());
  }

  /** Queues the scoring of what is left from before this start: of all that wait, after an upgrade. */
  async queueMissing(): Promise<void> {
    if (await this.scoresRepository.isLeft()) await this.scoresRepository.queue();
  }

  /** Scores a few runs before the queue is read; nothing where a job is at it. */
  async catchUp(): Promise<void> {
    if (await this.scoresRepository.isLeft()) await this.scoresRepository.scoreSome(LOT_OF_READ, { wait: false });
  }

  /** Scores until nothing is left, or another job goes on. */
  private async score(): Promise<void> {
    const jobs = await this.scoresRepository.waitingJobs();
    for (let lots = 0; await this.scoresRepository.isLeft(); lots++) {
      if (lots === LOTS_OF_JOB) return this.scoresRepository.queue();
      if (!(await this.scoresRepository.scoreSome(LOT, { wait: true }))) await delay(HELD_MS);
    }
    await this.scoresRepository.dropJobs(jobs);
  }
}
