/** Up to which share of the time the thread may be at work when pieces of work begin as they come: reads then hardly notice them. */
const ROOM = 0.33;
/** Up to which share a piece begins every `PACE_MS`. Beyond it, reads wait for each other noticeably. */
const BUSY = 0.6;
const PACE_MS = 200;

/** How often work that waits is looked at, ms. */
const LOOK_MS = 40;
/** Over how long the share is taken, ms: a thread that is busy all day waits for the database in between. */
const MEASURED_MS = 400;
/** Nobody reads when nothing was read for so long, ms. */
const QUIET_MS = 1_000;

interface Waiting {
  readonly until: number;
  readonly goOn: () => void;
}

/** What tells the time, and since a moment which share of it the thread was at work. */
export interface Load {
  readonly now: () => number;
  /** From 0 to 1 since the last call. */
  readonly share: () => number;
}

function loadOfThread(): Load {
  let last = performance.eventLoopUtilization();
  return {
    now: () => performance.now(),
    share() {
      const next = performance.eventLoopUtilization();
      const { utilization } = performance.eventLoopUtilization(next, last);
      last = next;
      return utilization;
    },
  };
}

/**
 * Answers and what is stored share one thread. While somebody reads and the thread is busy, work that can wait begins a piece at a time,
 * whenever there is room for one; else it waits, up to its patience, and then begins all the same.
 */
export class ReadsFirst {
  private readonly waiting: Waiting[] = [];
  private lastReadAt = Number.NEGATIVE_INFINITY;
  private measuredAt = Number.NEGATIVE_INFINITY;
  private share = 0;
  private hasOneBegun = false;
  private begunAt = Number.NEGATIVE_INFINITY;
  private timer: NodeJS.Timeout | undefined;

  constructor(private readonly load: Load = loadOfThread()) {}

  /** Says that somebody reads. */
  noteRead(): void {
    this.lastReadAt = this.load.now();
    this.measure();
  }

  /**
   * Waits while reads need the thread.
   *
   * @param patienceMs after how long it begins whatever the reads need
   */
  async giveWay(patienceMs: number): Promise<void> {
    if (this.waiting.length === 0 && (this.hasRoom() || !this.isRead())) {
      this.noteBegun();
      return;
    }
    await new Promise<void>((goOn) => {
      this.waiting.push({ until: this.load.now() + patienceMs, goOn });
      this.timer ??= setInterval(() => this.look(), LOOK_MS);
    });
  }

  private look(): void {
    this.measure();
    const now = this.load.now();
    const isRead = this.isRead();
    for (const one of this.waiting.filter(({ until }) => !isRead || until <= now)) this.begin(one);
    const [next] = this.waiting;
    if (next && this.hasRoom()) this.begin(next);
    if (this.waiting.length > 0) return;
    clearInterval(this.timer);
    this.timer = undefined;
  }

  private begin(one: Waiting): void {
    this.waiting.splice(this.waiting.indexOf(one), 1);
    this.noteBegun();
    one.goOn();
  }

  private noteBegun(): void {
    this.hasOneBegun = true;
    this.begunAt = this.load.now();
  }

  private measure(): void {
    const now = this.load.now();
    const elapsed = now - this.measuredAt;
    if (elapsed < LOOK_MS / 2) return;
    this.measuredAt = now;
    this.hasOneBegun = false;
    // The older, the less it counts.
    const kept = MEASURED_MS / (MEASURED_MS + elapsed);
    this.share = kept * this.share + (1 - kept) * this.load.share();
  }

  /** For one: its share is measured before another begins. */
  private hasRoom(): boolean {
    if (this.hasOneBegun || this.share > BUSY) return false;
    return this.share <= ROOM || this.load.now() - this.begunAt >= PACE_MS;
  }

  private isRead(): boolean {
    return this.load.now() - this.lastReadAt <= QUIET_MS;
  }
}

/** Of this process's main thread. */
export const readsFirst = new ReadsFirst();
