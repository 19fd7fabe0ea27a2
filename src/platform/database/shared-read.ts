/** One read for all who ask at the same time: each gets what was read after it asked. */
export class SharedRead<T> {
  private running: Promise<T> | null = null;
  private next: Promise<T> | null = null;

  constructor(private readonly read: () => Promise<T>) {}

  /** What is there now: of a read that begins no earlier than this call. */
  get(): Promise<T> {
    if (!this.running) return this.begin();
    this.next ??= this.running.then(
      () => this.begin(),
      () => this.begin(),
    );
    return this.next;
  }

  private begin(): Promise<T> {
    this.next = null;
    const running = this.read().finally(() => {
      if (this.running === running) this.running = null;
    });
    this.running = running;
    return running;
  }
}
