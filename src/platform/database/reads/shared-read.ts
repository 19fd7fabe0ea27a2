import { type ReadSource, readSource } from "./read-source.js";

interface Reads<T> {
  running: Promise<T> | null;
  next: Promise<T> | null;
}

/** One read for all who ask at the same time, of the same source: each gets what was read after it asked. */
export class SharedRead<T> {
  private readonly ofSource: Readonly<Record<ReadSource, Reads<T>>> = {
    primary: { running: null, next: null },
    replica: { running: null, next: null },
  };

  constructor(private readonly read: () => Promise<T>) {}

  /** What is there now: of a read that begins no earlier than this call. */
  get(): Promise<T> {
    const reads = this.ofSource[readSource()];
    if (!reads.running) return this.begin(reads);
    reads.next ??= reads.running.then(
      () => this.begin(reads),
      () => this.begin(reads),
    );
    return reads.next;
  }

  private begin(reads: Reads<T>): Promise<T> {
    reads.next = null;
    const running = this.read().finally(() => {
      if (reads.running === running) reads.running = null;
    });
    reads.running = running;
    return running;
  }
}
