import { setTimeout as delay } from "node:timers/promises";
import type { RunProgress } from "./progress.js";

/** Passes progress on, one message at a time and in order. What comes while one is under way is overtaken by the newest. */
export class ProgressPublisher {
  private next: RunProgress | undefined;
  private sending: Promise<void> | undefined;
  private hasBegun = false;
  private readonly quiet = new AbortController();

  /** @param quietMs of what is over within so long nothing is told: whoever waits is told of its end just as soon */
  constructor(
    private readonly send: (progress: RunProgress) => Promise<void>,
    private readonly quietMs = 0,
  ) {}

  say(progress: RunProgress): void {
    this.next = progress;
    this.sending ??= this.sendAll();
  }

  /** Waits until the last word is passed on. */
  async finish(): Promise<void> {
    this.quiet.abort();
    await this.sending;
  }

  private async sendAll(): Promise<void> {
    if (this.quietMs > 0 && !this.hasBegun) {
      const isOver = await delay(this.quietMs, false, { signal: this.quiet.signal }).catch(() => true);
      if (isOver) this.next = undefined;
      this.hasBegun = true;
    }
    for (let progress = this.next; progress; progress = this.next) {
      this.next = undefined;
      await this.send(progress);
    }
    this.sending = undefined;
  }
}
