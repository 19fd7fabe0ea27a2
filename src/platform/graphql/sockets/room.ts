/** Counts what somebody has open, and says when it is too much. */
export class Room {
  private readonly open = new Map<string, number>();
  private total = 0;

  constructor(private readonly most: { readonly ofOne: number; readonly ofAll: number }) {}

  hasFor(holder: string): boolean {
    return this.total < this.most.ofAll && (this.open.get(holder) ?? 0) < this.most.ofOne;
  }

  /** Takes a place; what is returned gives it back, once. */
  take(holder: string): () => void {
    this.total++;
    this.open.set(holder, (this.open.get(holder) ?? 0) + 1);
    let isTaken = true;
    return () => {
      if (!isTaken) return;
      isTaken = false;
      this.total--;
      const left = (this.open.get(holder) ?? 1) - 1;
      if (left > 0) this.open.set(holder, left);
      else this.open.delete(holder);
    };
  }
}
