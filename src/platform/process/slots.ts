/** Lets a few tasks run at the same time; the others wait in order. */
export class Slots {
  private readonly waiting: (() => void)[] = [];

  constructor(private free: number) {}

  async run<T>(task: () => T | PromiseLike<T>): Promise<T> {
    if (this.free > 0) this.free--;
    else await new Promise<void>((resolve) => this.waiting.push(resolve));
    try {
      return await task();
    } finally {
      const next = this.waiting.shift();
      if (next) next();
      else this.free++;
    }
  }
}
