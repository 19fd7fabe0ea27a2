import { Problem } from "../problems/problem.js";

const RETRY_AFTER_SECONDS = 5;

/** Counts what is not answered yet of whoever asked for it, so that nobody has more than so many in progress. */
export class InProgress {
  private readonly counts = new Map<string, number>();

  /** @param what what is counted, in the plural */
  constructor(
    private readonly max: number,
    private readonly what: string,
  ) {}

  /**
   * Does something for somebody.
   *
   * @throws Problem `too-many-requests` when too many of theirs are in progress
   */
  async of<T>(share: string, work: () => Promise<T>): Promise<T> {
    const count = this.counts.get(share) ?? 0;
    if (count >= this.max) {
      throw new Problem("too-many-requests", `At most ${this.max} ${this.what} can be in progress at a time.`, {
        extensions: { retryAfterSeconds: RETRY_AFTER_SECONDS },
      });
    }
    this.counts.set(share, count + 1);
    try {
      return await work();
    } finally {
      const left = (this.counts.get(share) ?? 1) - 1;
      if (left === 0) this.counts.delete(share);
      else this.counts.set(share, left);
    }
  }
}
