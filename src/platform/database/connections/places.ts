interface Waiting {
  give(): void;
}

/** So many may hold something at a time; the others wait in order, for as long as their patience lasts. */
export class Places {
  private readonly waiting = new Set<Waiting>();

  /** @param patienceMs after how long waiting fails */
  constructor(
    private free: number,
    private readonly patienceMs: number,
  ) {}

  /** How many wait. */
  get awaited(): number {
    return this.waiting.size;
  }

  /**
   * Takes a place.
   *
   * @returns what gives it back; calling that again does nothing
   * @throws Error as the driver does where no connection becomes free in time
   */
  async take(): Promise<() => void> {
    if (this.free > 0) this.free--;
    else await this.wait();
    let isHeld = true;
    return () => {
      if (isHeld) this.giveBack();
      isHeld = false;
    };
  }

  private wait(): Promise<void> {
    return new Promise((resolve, reject) => {
      const waiting: Waiting = {
        give: () => {
          clearTimeout(timer);
          resolve();
        },
      };
      const timer = setTimeout(() => {
        this.waiting.delete(waiting);
        reject(new Error("timeout exceeded when trying to connect"));
      }, this.patienceMs);
      this.waiting.add(waiting);
    });
  }

  private giveBack(): void {
    const [next] = this.waiting;
    if (!next) {
      this.free++;
      return;
    }
    this.waiting.delete(next);
    next.give();
  }
}
