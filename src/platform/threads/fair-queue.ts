interface Waiting<T> {
  readonly turn: number;
  readonly share: string;
  readonly item: T;
}

/**
 * What waits for a thread, in an order that is fair between those for whom it is done: somebody's next one has the turn after
 * their last one that waits, and no turn before the one that is being served. Start-time fair queueing (Goyal, Vin and Cheng, 1996) with equal shares
 * and equal costs.
 */
export class FairQueue<T> {
  /** In the order in which they came. */
  private waiting: Waiting<T>[] = [];
  private readonly lastTurns = new Map<string, number>();
  private turn = 0;

  /** @param share for whom it is done */
  add(share: string, item: T): void {
    const turn = Math.max(this.turn, (this.lastTurns.get(share) ?? -1) + 1);
    this.lastTurns.set(share, turn);
    this.waiting.push({ turn, share, item });
  }

  /** Takes out what is next of what may begin now; undefined when nothing may. */
  take(mayBegin: (item: T) => boolean): T | undefined {
    let next: Waiting<T> | undefined;
    for (const one of this.waiting) if ((!next || one.turn < next.turn) && mayBegin(one.item)) next = one;
    if (!next) return undefined;
    const { turn, share, item } = next;
    this.waiting = this.waiting.filter((one) => one !== next);
    this.turn = Math.max(this.turn, turn);
    if (this.lastTurns.get(share) === turn) this.lastTurns.delete(share);
    return item;
  }
}
