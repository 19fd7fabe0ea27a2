import { AsyncLocalStorage } from "node:async_hooks";

/** How long one turn works before others have theirs. */
const TURN_MS = 5;

/**
 * Splits long work into turns of a few milliseconds, between which the process answers others. What does not fit into
 * the present turn waits for a later one, in order.
 */
class Turns {
  private readonly waiting: (() => void)[] = [];
  private startedMs: number | null = null;

  /** Whether the present turn has lasted long enough, or others wait already. */
  isOver(): boolean {
    if (this.waiting.length > 0) return true;
    if (this.startedMs === null) {
      this.startedMs = performance.now();
      setImmediate(() => this.end());
      return false;
    }
    return performance.now() - this.startedMs > TURN_MS;
  }

  /** Does something in a later turn, as part of what it is asked by and of nothing else: turns are everybody's. */
  later<T>(task: () => T | PromiseLike<T>): Promise<T> {
    return new Promise((resolve, reject) => {
      const attempt = () => {
        try {
          resolve(task());
        } catch (error) {
          reject(error);
        }
      };
      this.waiting.push(AsyncLocalStorage.bind(attempt));
      if (this.startedMs === null) this.end();
    });
  }

  private end(): void {
    this.startedMs = null;
    if (this.waiting.length > 0) setImmediate(() => void this.work());
  }

  private async work(): Promise<void> {
    this.startedMs = performance.now();
    const due = this.waiting.splice(0);
    let done = 0;
    while (done < due.length && performance.now() - this.startedMs <= TURN_MS) {
      due[done++]?.();
      // What follows from it belongs to this turn.
      await null;
      await null;
    }
    this.waiting.unshift(...due.slice(done));
    this.end();
  }
}

export const turns = new Turns();
