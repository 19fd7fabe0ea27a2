import { hypot } from "../numerics/hypot.js";
import { effectiveFreedom } from "../uncertainty/effective-freedom.js";
import { boundedValues, type CountedValue, decidedOf, excessUncertainty } from "./bounded-values.js";
import type { Estimate, EstimateWithFreedom } from "./estimate.js";
import { sampleOf } from "./sample.js";

/** A tester's estimate, with what of it no moderator has seen. */
export interface TesterEstimate extends EstimateWithFreedom {
  /** How far runs that no moderator has decided on would have moved it beyond their bound; 0 where they stay within it. */
  readonly undecidedExcess: number;
}

/**
 * One tester's estimate from all runs of a pack: the mean of the runs, with their mean uncertainty, since one bench
 * errs alike in all of them, and the scatter of n repeats over sqrt(n), which n - 1 degrees of freedom know. Repeats
 * cannot make it more certain than the bench. Runs that nobody has decided on move it within a bound; what they exceed it by is a half-width
 * of its own uncertainty, and what they state of theirs is left aside.
 *
 * @param runs at least one
 * @param relativeSd s_R over the value; of no use where every run was decided on
 */
export function testerEstimate(runs: readonly (Estimate & CountedValue)[], relativeSd = 0): TesterEstimate {
  const { values, excess } = boundedValues(runs, relativeSd);
  const { mean, sd, count } = sampleOf(values);
  const stated = sampleOf(decidedOf(runs).map(({ uncertainty }) => uncertainty)).mean;
  const bench = { uncertainty: stated, degreesOfFreedom: null };
  const repeats = { uncertainty: (sd ?? 0) / Math.sqrt(count), degreesOfFreedom: count - 1 };
  const beyond = { uncertainty: excessUncertainty(excess), degreesOfFreedom: null };
  return {
    value: mean,
    uncertainty: hypot(bench.uncertainty, repeats.uncertainty, beyond.uncertainty),
    degreesOfFreedom: effectiveFreedom([bench, repeats, beyond]),
    undecidedExcess: excess,
  };
}
