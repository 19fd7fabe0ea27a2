import { Problem } from "../../../platform/problems/problem.js";

/** Most checks of one account or address that wait or are computed at a time: each keeps its log on disk meanwhile. */
const MAX_CHECKS = 64;
const RETRY_AFTER_SECONDS = 5;

/** Counts the checks that are not answered yet. */
export class ChecksInProgress {
  private readonly counts = new Map<string, number>();

  /**
   * Does a check for somebody.
   *
   * @throws Problem `too-many-requests` when too many of theirs are in progress
   */
  async of<T>(share: string, check: () => Promise<T>): Promise<T> {
    const count = this.counts.get(share) ?? 0;
    if (count >= MAX_CHECKS) {
      throw new Problem("too-many-requests", `At most ${MAX_CHECKS} checks can be in progress at a time.`, {
        extensions: { retryAfterSeconds: RETRY_AFTER_SECONDS },
      });
    }
    this.counts.set(share, count + 1);
    try {
      return await check();
    } finally {
      const left = (this.counts.get(share) ?? 1) - 1;
      if (left === 0) this.counts.delete(share);
      else this.counts.set(share, left);
    }
  }
}
