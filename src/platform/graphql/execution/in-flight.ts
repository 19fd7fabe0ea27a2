import { Problem } from "../../problems/problem.js";

/** Operations that cost no more than this never wait. */
const CHEAP = 2_000;

interface Waiting {
  readonly client: string;
  readonly cost: number;
  readonly begin: () => void;
}

export interface InFlightLimits {
  /** Most that the expensive operations at work may cost together. */
  readonly cost: number;
  /** Most that wait, all together and of one client. */
  readonly waiting: number;
  readonly waitingOfOne: number;
}

/** Admits expensive operations as long as those at work together cost little enough; the others wait in order. */
export class InFlight {
  private used = 0;
  private readonly queue: Waiting[] = [];

  constructor(private readonly limits: InFlightLimits) {}

  /**
   * Resolves when the operation may begin, with what ends it.
   *
   * @param isAlone whether no other expensive one may be at work meanwhile
   * @throws Problem `too-busy` when too many wait
   */
  async admit(ownCost: number, client: string, isAlone = false): Promise<() => void> {
    if (ownCost <= CHEAP) return () => {};
    const cost = isAlone ? this.limits.cost : ownCost;
    if (this.queue.length > 0 || this.used + cost > this.limits.cost) await this.wait(cost, client);
    else this.used += cost;
    let isOver = false;
    return () => {
      if (isOver) return;
      isOver = true;
      this.used -= cost;
      this.beginNext();
    };
  }

  private wait(cost: number, client: string): Promise<void> {
    const ofClient = this.queue.filter((one) => one.client === client).length;
    if (this.queue.length >= this.limits.waiting || ofClient >= this.limits.waitingOfOne) {
      throw new Problem("too-busy", "Too many expensive queries wait already. Ask for less at once, or later.");
    }
    return new Promise((begin) => this.queue.push({ client, cost, begin }));
  }

  private beginNext(): void {
    for (;;) {
      const [next] = this.queue;
      if (!next || (this.used > 0 && this.used + next.cost > this.limits.cost)) return;
      this.queue.shift();
      this.used += next.cost;
      next.begin();
    }
  }
}
