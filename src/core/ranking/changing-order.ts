import { indexIn, type RankedOrder } from "./ranked-order.js";

/** What a pack stands with in one ranking. */
export interface RankedValue {
  /** Larger is better. */
  readonly value: number;
  /** Standard uncertainty, in the unit of the value. */
  readonly uncertainty: number;
  readonly established: boolean;
}

const INITIAL_ROWS = 64;

/** An order of standings whose packs come, go and move. Packs are numbered from 0. */
export class ChangingOrder implements RankedOrder {
  length = 0;
  values = new Float64Array(INITIAL_ROWS);
  uncertainties = new Float64Array(INITIAL_ROWS);
  packs = new Int32Array(INITIAL_ROWS);
  /** 1 for established standings, 0 for others. */
  established = new Uint8Array(INITIAL_ROWS);
  /** Value of each pack by its number; NaN of one that is not in the order. */
  private valueOf = new Float64Array(INITIAL_ROWS).fill(Number.NaN);

  constructor(private readonly comparePacks: (a: number, b: number) => number) {}

  /** About the bytes that it takes. */
  get bytes(): number {
    return this.values.length * 21 + this.valueOf.length * 8;
  }

  /** Adds a standing behind all others: for a first load in the order of the ranking. */
  append(pack: number, { value, uncertainty, established }: RankedValue): void {
    this.reserve(this.length + 1, pack + 1);
    this.write(this.length++, pack, value, uncertainty, established);
  }

  /** Puts a pack where it stands now, or takes it out. */
  set(pack: number, standing: RankedValue | null): void {
    this.remove(pack);
    if (!standing) return;
    this.reserve(this.length + 1, pack + 1);
    const { value, uncertainty, established } = standing;
    const index = this.indexOf(value, pack);
    this.move(index + 1, index);
    this.length++;
    this.write(index, pack, value, uncertainty, established);
  }

  private remove(pack: number): void {
    const value = this.valueOf[pack] ?? Number.NaN;
    if (Number.isNaN(value)) return;
    const index = this.indexOf(value, pack);
    this.move(index, index + 1);
    this.length--;
    this.valueOf[pack] = Number.NaN;
  }

  private indexOf(value: number, pack: number): number {
    return indexIn(this, value, (other) => this.comparePacks(pack, other));
  }

  private write(index: number, pack: number, value: number, uncertainty: number, established: boolean): void {
    this.values[index] = value;
    this.uncertainties[index] = uncertainty;
    this.packs[index] = pack;
    this.established[index] = established ? 1 : 0;
    this.valueOf[pack] = value;
  }

  /** Moves what lies from an index on. */
  private move(to: number, from: number): void {
    for (const column of [this.values, this.uncertainties, this.packs, this.established]) {
      column.copyWithin(to, from, this.length);
    }
  }

  private reserve(rows: number, packs: number): void {
    if (rows > this.values.length) {
      const size = Math.max(rows, Math.ceil(this.values.length * 1.5));
      this.values = grown(this.values, new Float64Array(size));
      this.uncertainties = grown(this.uncertainties, new Float64Array(size));
      this.packs = grown(this.packs, new Int32Array(size));
      this.established = grown(this.established, new Uint8Array(size));
    }
    if (packs > this.valueOf.length) {
      const size = Math.max(packs, Math.ceil(this.valueOf.length * 1.5));
      this.valueOf = grown(this.valueOf, new Float64Array(size).fill(Number.NaN));
    }
  }
}

function grown<T extends Float64Array | Int32Array | Uint8Array>(from: T, to: T): T {
  to.set(from);
  return to;
}

export const STANDINGS_SHOWN = ["established", "provisional", "all"] as const;
/** Which standings of a ranking are listed. */
export type StandingsShown = (typeof STANDINGS_SHOWN)[number];

/** The part of an order whose packs are kept, 1 for each pack that is, and whose standings are of the kind asked for. */
export function partOf(order: ChangingOrder, keep: Uint8Array | null, shown: StandingsShown): RankedOrder {
  if (!keep && shown === "all") return order;
  const { length, packs, established } = order;
  const wanted = shown === "established" ? 1 : 0;
  const rows = new Int32Array(length);
  let count = 0;
  for (let i = 0; i < length; i++) {
    rows[count] = i;
    const kept = keep ? (keep[packs[i] as number] as number) : 1;
    count += shown === "all" || established[i] === wanted ? kept : 0;
  }
  const part = { length: count, values: new Float64Array(count), uncertainties: new Float64Array(count) };
  const numbers = new Int32Array(count);
  for (let i = 0; i < count; i++) {
    const row = rows[i] as number;
    part.values[i] = order.values[row] as number;
    part.uncertainties[i] = order.uncertainties[row] as number;
    numbers[i] = packs[row] as number;
  }
  return { ...part, packs: numbers };
}

/** How many standings of an order's packs that are kept there are, and how many of them are established. */
export function countPart(
  { length, packs, established }: ChangingOrder,
  keep: Uint8Array | null,
): { standings: number; established: number } {
  let standings = 0;
  let sure = 0;
  for (let i = 0; i < length; i++) {
    const kept = keep ? (keep[packs[i] as number] as number) : 1;
    standings += kept;
    sure += kept & (established[i] as number);
  }
  return { standings, established: sure };
}
