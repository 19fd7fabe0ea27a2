import type { RunProgress } from "./progress.js";

/** Passes progress on, one message at a time and in order. What comes while one is under way is overtaken by the newest. */
export class ProgressPublisher {
  private next: RunProgress | undefined;
  private sending: Promise<void> | undefined;

  constructor(private readonly send: (progress: RunProgress) => Promise<void>) {}

  say(progress: RunProgress): void {
    this.next = progress;
    this.sending ??= this.sendAll();
  }

  /** Waits until the last word is passed on. */
  async finish(): Promise<void> {
    await this.sending;
  }

  private async sendAll(): Promise<void> {
    for (let progress = this.next; progress; progress = this.next) {
      this.next = undefined;
      await this.send(progress);
    }
    this.sending = undefined;
  }
}
