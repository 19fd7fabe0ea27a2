/** Holds the newest thing put into it until it is taken; older ones that nobody took are forgotten. */
export class LatestValue<T> {
  private held: { readonly value: T } | undefined;
  private wake: (() => void) | undefined;

  put(value: T): void {
    this.held = { value };
    this.wake?.();
  }

  /** The newest thing, as soon as there is one; undefined when none came in time or the signal ended the wait. */
  async take(patienceMs: number, signal?: AbortSignal): Promise<{ readonly value: T } | undefined> {
    if (!this.held && !signal?.aborted) await this.somethingHappens(patienceMs, signal);
    const { held } = this;
    this.held = undefined;
    return held;
  }

  private somethingHappens(patienceMs: number, signal: AbortSignal | undefined): Promise<void> {
    return new Promise((resolve) => {
      const wake = () => {
        clearTimeout(timer);
        signal?.removeEventListener("abort", wake);
        this.wake = undefined;
        resolve();
      };
      const timer = setTimeout(wake, patienceMs);
      signal?.addEventListener("abort", wake);
      this.wake = wake;
    });
  }
}
