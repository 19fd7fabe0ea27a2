import { Injectable, type OnModuleInit } from "@nestjs/common";
import { JobQueue } from "../../../platform/queue/job-queue.js";
import { REMOVE_LOG } from "../jobs.js";
import { LogRemovalsRepository } from "./log-removals.repository.js";

/** Removes the bytes of logs that were refused a day ago; log, digest, runs and refusals stay. */
@Injectable()
export class LogRemovalsService implements OnModuleInit {
  constructor(
    private readonly jobQueue: JobQueue,
    private readonly logRemovalsRepository: LogRemovalsRepository,
  ) {}

  onModuleInit(): void {
    this.jobQueue.handle(REMOVE_LOG, async (payload) => {
      await this.removeRefused((payload as { sha256: string }).sha256);
    });
  }

  /** Queues the removal of what an earlier version of the service refused. */
  queueMissing(): Promise<void> {
    return this.logRemovalsRepository.queueMissing();
  }

  /**
   * Removes the bytes of a log. One that is still to be kept, as while a moderator asks about it, is looked at again in a day.
   *
   * @returns false when its bytes stay
   */
  async removeRefused(sha256: string): Promise<boolean> {
    const hash = Uint8Array.from(Buffer.from(sha256, "hex"));
    if (await this.logRemovalsRepository.remove(hash)) return true;
    await this.logRemovalsRepository.queueAgain(hash);
    return false;
  }
}
