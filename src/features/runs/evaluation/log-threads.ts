import { Inject, Injectable } from "@nestjs/common";
import { CONFIG, type Config } from "../../../platform/config/config.js";
import { MemoryLimitPassed, type ThreadCall, Threads, TimeLimitPassed } from "../../../platform/threads/threads.js";
import type { LogSource, UnreadableLog } from "./evaluation-thread.js";
import { isLarge } from "./is-large.js";
import { tookTooLong, tookTooMuch } from "./limits.js";

interface LogCall extends Pick<ThreadCall, "module" | "name" | "onMessage"> {
  readonly share: string;
  /** Nobody waits for it. */
  readonly isBackground?: boolean;
}

/** Reads logs on threads. Large ones go one after another, so that together they stay within a bounded memory, and leave a thread to the others. */
@Injectable()
export class LogThreads {
  constructor(
    private readonly threads: Threads,
    @Inject(CONFIG) private readonly config: Config,
  ) {}

  /** Does something with a log; one that takes too long or too much memory cannot be read. Bytes are handed over: the task is none any more. */
  async run<Task extends { readonly log: LogSource }, Read extends object>(
    { isBackground = false, ...call }: LogCall,
    task: Task,
  ): Promise<Read | { readonly unreadable: UnreadableLog }> {
    const { evaluationSeconds } = this.config;
    const { log } = task;
    const lane = (await isLarge(log)) ? ("long" as const) : isBackground ? ("background" as const) : null;
    const transfer = typeof log === "string" ? [] : [log.buffer];
    try {
      return await this.threads.run({ ...call, limitMs: evaluationSeconds * 1000, lane, transfer }, task);
    } catch (error) {
      if (error instanceof TimeLimitPassed) return { unreadable: tookTooLong(evaluationSeconds) };
      if (error instanceof MemoryLimitPassed) return { unreadable: tookTooMuch() };
      throw error;
    }
  }
}
