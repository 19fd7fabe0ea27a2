/** Messages that may come at once, and how many more each second. */
const BURST = 60;
const PER_SECOND = 5;

/** How many messages one socket may still send: a bucket that fills again while it says nothing. */
export class MessageAllowance {
  private left = BURST;

  constructor(private lastMs = performance.now()) {}

  /** Whether a message may come now. */
  take(nowMs = performance.now()): boolean {
    this.left = Math.min(BURST, this.left + ((nowMs - this.lastMs) / 1_000) * PER_SECOND);
    this.lastMs = nowMs;
    if (this.left < 1) return false;
    this.left--;
    return true;
  }
}
