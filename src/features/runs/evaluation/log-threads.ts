import { Inject, Injectable } from "@nestjs/common";
import { CONFIG, type Config } from "../../../platform/config/config.js";
import { MemoryLimitPassed, type ThreadCall, Threads, TimeLimitPassed } from "../../../platform/threads/threads.js";
import type { UnreadableLog } from "./evaluation-thread.js";
import { isLarge } from "./is-large.js";
import { tookTooLong, tookTooMuch } from "./limits.js";

interface LogCall extends Pick<ThreadCall, "module" | "name" | "onMessage"> {
  readonly share: string;
  /** Nobody waits for it. */
  readonly isBackground?: boolean;
}

/** Reads log files on threads. Large ones go one after another, so that together they stay within a bounded memory, and leave a thread to the others. */
@Injectable()
export class LogThreads {
  constructor(
    private readonly threads: Threads,
    @Inject(CONFIG) private readonly config: Config,
  ) {}

  /** Does something with a log file; one that takes too long or too much memory cannot be read. */
  async run<Task extends { readonly path: string }, Read extends object>(
    { isBackground = false, ...call }: LogCall,
    task: Task,
  ): Promise<Read | { readonly unreadable: UnreadableLog }> {
    const { evaluationSeconds } = this.config;
    const lane = (await isLarge(task.path)) ? ("long" as const) : isBackground ? ("background" as const) : null;
    try {
      return await this.threads.run({ ...call, limitMs: evaluationSeconds * 1000, lane }, task);
    } catch (error) {
      if (error instanceof TimeLimitPassed) return { unreadable: tookTooLong(evaluationSeconds) };
      if (error instanceof MemoryLimitPassed) return { unreadable: tookTooMuch() };
      throw error;
    }
  }
}
