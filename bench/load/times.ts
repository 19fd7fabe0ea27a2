/** How long answers took, and what they were. */
export class Times {
  private readonly taken: number[] = [];
  /** The same by what was asked, where that is told. */
  readonly parts = new Map<number, Times>();
  readonly statuses = new Map<number, number>();

  add(milliseconds: number, status: number, part?: number): void {
    this.taken.push(milliseconds);
    this.statuses.set(status, (this.statuses.get(status) ?? 0) + 1);
    if (part === undefined) return;
    const times = this.parts.get(part) ?? new Times();
    this.parts.set(part, times);
    times.add(milliseconds, status);
  }

  get count(): number {
    return this.taken.length;
  }

  /** The time within which so many of a hundred were answered, ms; NaN when there were none. */
  percentile(percent: number): number {
    const sorted = this.taken.toSorted((a, b) => a - b);
    return sorted[Math.min(sorted.length - 1, Math.floor((sorted.length * percent) / 100))] ?? Number.NaN;
  }

  get inWords(): string {
    const by = [...this.statuses]
      .sort(([a], [b]) => a - b)
      .map(([status, count]) => `${count} x ${status || "no answer"}`);
    return `p50 ${this.percentile(50).toFixed(0)} ms, p99 ${this.percentile(99).toFixed(0)} ms (${by.join(", ")})`;
  }
}
