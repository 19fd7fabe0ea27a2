import type { PackFacts } from "../model.js";
import { oneIt } from "../protocol/load.js";

/** What of a pack its label's currents follow from. */
export type Labelled = Pick<PackFacts, "ratedCapacityMah"> & {
  readonly labelContinuousC?: number | null;
  readonly labelBurstC?: number | null;
};

/** The currents that a label names, A; null where it names none. */
export interface LabelCurrents {
  readonly labelContinuousA: number | null;
  readonly labelBurstA: number | null;
}

export function labelCurrentsOf(pack: Labelled): LabelCurrents {
  const currentOf = (rateC: number | null | undefined) => (rateC == null ? null : rateC * oneIt(pack));
  return { labelContinuousA: currentOf(pack.labelContinuousC), labelBurstA: currentOf(pack.labelBurstC) };
}

/**
 * The current that no test of a pack draws more of, A: the continuous one on its label. A label that names a burst current alone allows no
 * more than that for however long. Infinite where it names none.
 */
export function mostByLabel({ labelContinuousA, labelBurstA }: LabelCurrents): number {
  return Math.min(labelContinuousA ?? Number.POSITIVE_INFINITY, labelBurstA ?? Number.POSITIVE_INFINITY);
}

/**
 * The current that a plan proposes at most where nobody asks for another, A: the continuous one on the label, or half of the burst one where
 * that is all there is (common practice, no published source).
 */
export function proposedByLabel({ labelContinuousA, labelBurstA }: LabelCurrents): number {
  return mostByLabel({
    labelContinuousA: labelContinuousA ?? (labelBurstA === null ? null : labelBurstA / 2),
    labelBurstA,
  });
}
