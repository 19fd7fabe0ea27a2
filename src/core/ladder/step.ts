import type { Estimate } from "../statistics/estimate.js";

/** One conforming constant-current run of a specimen. */
export interface LadderStep {
  readonly runId: string;
  /** Mean current under load, A. */
  readonly current: Estimate;
  /** It reached the voltage cutoff with the pack below the temperature limit all the way. */
  readonly passes: boolean;
  /** Charge delivered until its end, mAh. */
  readonly capacityMah: number;
  /** Temperatures at onset and of the surroundings, degC. */
  readonly startC: number;
  readonly ambientC: number;
  /** ms since the epoch; null when it was not declared. */
  readonly startedAt: number | null;
  /** Age of the specimen, full cycles. */
  readonly cycles: number | null;
}

/** Temperature of the pack along one step, from onset to its end or to the limit, s and degC. */
export interface WarmingCurve {
  readonly time: Float64Array;
  readonly temperature: Float64Array;
}
