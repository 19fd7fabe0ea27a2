import { judgeQuantity, type QuantityRecord, type RecordPair } from "./judge.js";
import { RECORD_QUANTITIES, type RecordQuantity } from "./quantities.js";
import { leastReproducibility } from "./reproducibility.js";

/** A tester's whole record. */
export interface Judgement {
  readonly quantities: readonly QuantityRecord[];
  /** Whether a pack of a sealed round is asked for and missing. */
  readonly lacksSealedPack: boolean;
  /** Whether the results agree with the reference testers' in every quantity. */
  readonly agrees: boolean;
}

/** The pairs of one quantity, with s_R over the value of the figure that they are of. */
export interface QuantityPairs {
  readonly pairs: readonly RecordPair[];
  readonly relativeSd: number;
}

/**
 * Judges a tester by the results of every quantity: power, capacity and resistance alike.
 *
 * @param byQuantity what the tester shares with reference testers; nothing where a quantity is left out
 * @param needsSealedPack whether one of the packs has to be of a sealed round
 */
export function judgementOf(
  byQuantity: ReadonlyMap<RecordQuantity, QuantityPairs>,
  needsSealedPack: boolean,
): Judgement {
  const quantities = RECORD_QUANTITIES.map((quantity) => {
    const { pairs, relativeSd } = byQuantity.get(quantity) ?? { pairs: [], relativeSd: leastReproducibility(quantity) };
    return judgeQuantity(quantity, pairs, relativeSd);
  });
  const lacksSealedPack = needsSealedPack && quantities.some(({ sealedPacks }) => sealedPacks === 0);
  return { quantities, lacksSealedPack, agrees: !lacksSealedPack && quantities.every(({ gaps }) => gaps.length === 0) };
}

/** What a tester's record shows of the own uncertainty in a quantity, over the value; 0 where it contradicts nothing. */
export function recordUncertaintyOf(quantities: readonly QuantityRecord[], quantity: RecordQuantity | null): number {
  return quantities.find((one) => one.quantity === quantity)?.shownUncertainty ?? 0;
}
