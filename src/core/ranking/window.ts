import { indexIn, type RankedOrder } from "./ranked-order.js";

/** A position in a ranking: a value, and how packs of the same value are compared with the one that stands there. */
export interface RankingPosition {
  readonly value: number;
  /** Above 0 for packs that stand before it among equal values, 0 for itself. */
  readonly compareTo: (pack: number) => number;
}

/** Which part of a list is wanted. */
export interface RankingWindow {
  /** Positions that it lies between; null for an open end. */
  readonly after: RankingPosition | null;
  readonly before: RankingPosition | null;
  /** It is taken from the back, the last one first. */
  readonly backward: boolean;
  readonly take: number;
  /** The list begins with the last place. */
  readonly worstFirst: boolean;
}

/** Indexes of the standings in a window of an order: in the order of the list, or from its back. */
export function indexesIn(
  order: RankedOrder,
  { after, before, backward, take, worstFirst }: RankingWindow,
): readonly number[] {
  const [above, below] = worstFirst ? [before, after] : [after, before];
  const start = above ? indexBehind(order, above) : 0;
  const end = below ? indexIn(order, below.value, below.compareTo) : order.length;
  const count = Math.max(0, Math.min(take, end - start));
  const isDescending = backward !== worstFirst;
  return Array.from({ length: count }, (_, i) => (isDescending ? end - 1 - i : start + i));
}

/** The first index behind a position. */
function indexBehind(order: RankedOrder, { value, compareTo }: RankingPosition): number {
  const index = indexIn(order, value, compareTo);
  const isThere =
    index < order.length && order.values[index] === value && compareTo(order.packs[index] as number) === 0;
  return isThere ? index + 1 : index;
}
