import { expm1 } from "../numerics/library.js";
import { coverageFactor } from "../uncertainty/coverage-factor.js";
import type { RecordQuantity } from "./quantities.js";
import { type TwoWayObservation, twoWayFit } from "./two-way.js";

/** How far a tester's results of one quantity lie from those of others on the same packs. */
export interface Calibration {
  readonly quantity: RecordQuantity;
  /** Packs that others have measured too, and how many others. */
  readonly packs: number;
  readonly others: number;
  /** Above zero where the tester reads high, %. */
  readonly biasPercent: number;
  /** U of it, about 95 %, %. */
  readonly expandedUncertaintyPercent: number;
}

/**
 * A tester's bias against the others by the two-way model of packs and testers, over the packs that the tester shares with others. Its
 * standard uncertainty is s sqrt(1/m + mean(1/n_p)/m) with m packs and n_p others each; s is the model's residual, at least s_R, since few packs
 * fit any model too well.
 *
 * @param observations the tester's and the others' results of the packs that the tester has measured
 * @param relativeSd s_R over the value
 * @returns null where no pack was measured by anybody else
 */
export function calibrationOf(
  quantity: RecordQuantity,
  testerId: string,
  observations: readonly TwoWayObservation[],
  relativeSd: number,
): Calibration | null {
  const shared = [...Map.groupBy(observations, ({ packId }) => packId).values()].filter(
    (some) => some.some((one) => one.testerId === testerId) && some.length > 1,
  );
  if (shared.length === 0) return null;
  const { testers, residualSd } = twoWayFit(shared.flat());
  const own = testers.get(testerId) as number;
  // Effects sum to zero: what is left to the others is minus the own.
  const others = testers.size - 1;
  const bias = own + own / others;
  const perOther = shared.reduce((sum, some) => sum + 1 / (some.length - 1), 0) / shared.length;
  const sd = Math.max(residualSd ?? 0, relativeSd);
  const uncertainty = sd * Math.sqrt((1 + perOther) / shared.length);
  return {
    quantity,
    packs: shared.length,
    others,
    biasPercent: 100 * expm1(bias),
    expandedUncertaintyPercent: 100 * coverageFactor(null) * uncertainty,
  };
}
