/** Rows whose greatest uncertainty is kept together, so that a whole block is passed over when none of it is within reach. */
const BLOCK_ROWS = 256;

/** Standings in falling order of value, equal ones in the order of their packs. Larger is better. */
export interface RankedOrder {
  readonly length: number;
  /** Values in the order of the ranking; more may lie behind `length`. */
  readonly values: Float64Array;
  /** Standard uncertainties, in the unit of the values. */
  readonly uncertainties: Float64Array;
  /** Numbers of the packs. */
  readonly packs: Int32Array;
}

/** How two packs of equal value are ordered: below 0 when the first one stands first. */
export type ComparePacks = (a: number, b: number) => number;

/** Where a standing is in its ranking. */
export interface RankedPlace {
  /** 1 + the number of larger values. */
  readonly place: number;
  /** 1 + the number of values that are larger beyond k times the uncertainty of the difference. */
  readonly bestPlace: number;
  /** The number of values that are not smaller beyond that, its own among them. */
  readonly worstPlace: number;
  /** Packs whose values differ by no more than that: the nearest ones, of equally near ones those that come first. */
  readonly tiedWith: readonly number[];
}

/** Finds the places of standings in one order; it is prepared once an order. */
export class PlaceFinder {
  /** Greatest uncertainty of each block of rows. */
  private readonly greatest: Float64Array;

  /**
   * @param k by which the uncertainty of a difference is multiplied
   * @param tiesNamed most packs that a standing is said to be tied with
   */
  constructor(
    private readonly order: RankedOrder,
    private readonly comparePacks: ComparePacks,
    private readonly k: number,
    private readonly tiesNamed: number,
  ) {
    this.greatest = greatestOfBlocks(order);
  }

  /** The place of the standing at an index of the order. */
  placeAt(index: number): RankedPlace {
    const { values, length } = this.order;
    const bestPlace = 1 + this.countBetter(index);
    const worstPlace = length - this.countWorse(index);
    const tiedWith = this.nearest(index, Math.min(this.tiesNamed, worstPlace - bestPlace));
    return { place: 1 + firstNotAbove(values, length, values[index] as number), bestPlace, worstPlace, tiedWith };
  }

  private reach(uncertainty: number, other: number): number {
    return this.k * Math.sqrt(other * other + uncertainty * uncertainty);
  }

  /** How many stand above by more than the uncertainty of the difference. */
  private countBetter(index: number): number {
    const { values, uncertainties } = this.order;
    const value = values[index] as number;
    const uncertainty = uncertainties[index] as number;
    let better = 0;
    for (let end = index; end > 0; ) {
      const block = Math.floor((end - 1) / BLOCK_ROWS);
      const start = block * BLOCK_ROWS;
      if ((values[end - 1] as number) - value > this.reach(uncertainty, this.greatest[block] as number)) {
        better += end - start;
      } else {
        for (let i = start; i < end; i++) {
          if ((values[i] as number) - value > this.reach(uncertainty, uncertainties[i] as number)) better++;
        }
      }
      end = start;
    }
    return better;
  }

  /** How many stand below by more than the uncertainty of the difference. */
  private countWorse(index: number): number {
    const { values, uncertainties, length } = this.order;
    const value = values[index] as number;
    const uncertainty = uncertainties[index] as number;
    let worse = 0;
    for (let start = index + 1; start < length; ) {
      const block = Math.floor(start / BLOCK_ROWS);
      const end = Math.min((block + 1) * BLOCK_ROWS, length);
      if (value - (values[start] as number) > this.reach(uncertainty, this.greatest[block] as number)) {
        worse += end - start;
      } else {
        for (let i = start; i < end; i++) {
          if (value - (values[i] as number) > this.reach(uncertainty, uncertainties[i] as number)) worse++;
        }
      }
      start = end;
    }
    return worse;
  }

  /** The nearest packs within reach: walks outwards over runs of equal values. */
  private nearest(index: number, wanted: number): number[] {
    const { values, length } = this.order;
    const value = values[index] as number;
    let start = this.startOfRun(index);
    let end = this.endOfRun(index);
    const found = this.withinReach(index, start, end, wanted);
    const above = () => (start > 0 ? (values[start - 1] as number) - value : Number.POSITIVE_INFINITY);
    const below = () => (end < length ? value - (values[end] as number) : Number.POSITIVE_INFINITY);
    while (found.length < wanted && (start > 0 || end < length)) {
      start = this.passAbove(index, start);
      end = this.passBelow(index, end);
      const distance = Math.min(above(), below());
      // Values that differ by less than their distances are rounded are equally near, on either side.
      const equallyNear: number[] = [];
      for (; start > 0 && above() === distance; start = this.startOfRun(start - 1)) {
        equallyNear.push(...this.withinReach(index, this.startOfRun(start - 1), start, wanted));
      }
      for (; end < length && below() === distance; end = this.endOfRun(end)) {
        equallyNear.push(...this.withinReach(index, end, this.endOfRun(end), wanted));
      }
      found.push(...equallyNear.sort(this.comparePacks));
    }
    return found.slice(0, wanted);
  }

  /** Passes over the blocks that end at an index and have nothing within reach. */
  private passAbove(index: number, end: number): number {
    const { values, uncertainties } = this.order;
    let start = end;
    while (start > 0 && start % BLOCK_ROWS === 0) {
      const distance = (values[start - 1] as number) - (values[index] as number);
      const greatest = this.greatest[start / BLOCK_ROWS - 1] as number;
      if (distance <= this.reach(uncertainties[index] as number, greatest)) break;
      start -= BLOCK_ROWS;
    }
    return start;
  }

  /** Passes over the blocks that begin at an index and have nothing within reach. */
  private passBelow(index: number, start: number): number {
    const { values, uncertainties, length } = this.order;
    let end = start;
    while (end < length && end % BLOCK_ROWS === 0) {
      const distance = (values[index] as number) - (values[end] as number);
      const greatest = this.greatest[end / BLOCK_ROWS] as number;
      if (distance <= this.reach(uncertainties[index] as number, greatest)) break;
      end = Math.min(end + BLOCK_ROWS, length);
    }
    return end;
  }

  /** The first packs of a run of equal values that are within reach. */
  private withinReach(index: number, start: number, end: number, wanted: number): number[] {
    const { values, uncertainties, packs } = this.order;
    const distance = Math.abs((values[start] as number) - (values[index] as number));
    const found: number[] = [];
    for (let i = start; i < end && found.length < wanted; i++) {
      const isWithin = distance <= this.reach(uncertainties[index] as number, uncertainties[i] as number);
      if (isWithin && i !== index) found.push(packs[i] as number);
    }
    return found;
  }

  private startOfRun(index: number): number {
    const { values, length } = this.order;
    const value = values[index] as number;
    return values[index - 1] === value ? firstNotAbove(values, length, value) : index;
  }

  private endOfRun(index: number): number {
    const { values, length } = this.order;
    const value = values[index] as number;
    return index + 1 < length && values[index + 1] === value ? firstBelow(values, length, value) : index + 1;
  }
}

function greatestOfBlocks({ uncertainties, length }: RankedOrder): Float64Array {
  const greatest = new Float64Array(Math.ceil(length / BLOCK_ROWS));
  for (let i = 0; i < length; i++) {
    const block = Math.floor(i / BLOCK_ROWS);
    if ((uncertainties[i] as number) > (greatest[block] as number)) greatest[block] = uncertainties[i] as number;
  }
  return greatest;
}

/** The first index, in falling values, whose value is not above another; `length` when all are. */
export function firstNotAbove(values: Float64Array, length: number, value: number): number {
  return firstIndex(length, (i) => (values[i] as number) <= value);
}

function firstBelow(values: Float64Array, length: number, value: number): number {
  return firstIndex(length, (i) => (values[i] as number) < value);
}

/** Where a pack with a value stands in an order, or would stand. */
export function indexIn(
  { values, packs, length }: RankedOrder,
  value: number,
  compareToPack: (pack: number) => number,
) {
  return firstIndex(length, (i) => {
    const other = values[i] as number;
    return other < value || (other === value && compareToPack(packs[i] as number) <= 0);
  });
}

/** The first index for which something holds that holds for all behind it too; `length` when for none. */
function firstIndex(length: number, holds: (index: number) => boolean): number {
  let low = 0;
  let high = length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if (holds(middle)) high = middle;
    else low = middle + 1;
  }
  return low;
}
