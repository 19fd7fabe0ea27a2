import { hypot } from "../numerics/hypot.js";
import { effectiveFreedom } from "../uncertainty/effective-freedom.js";
import type { Estimate, EstimateWithFreedom } from "./estimate.js";
import { sampleOf } from "./sample.js";

/**
 * One tester's estimate from all runs of a pack: the mean of the runs, with their mean uncertainty, since one bench
 * errs alike in all of them, and the scatter of n repeats over sqrt(n), which n - 1 degrees of freedom know. Repeats
 * cannot make it more certain than the bench.
 *
 * @param runs at least one
 */
export function testerEstimate(runs: readonly Estimate[]): EstimateWithFreedom {
  const { mean, sd, count } = sampleOf(runs.map(({ value }) => value));
  const bench = { uncertainty: sampleOf(runs.map(({ uncertainty }) => uncertainty)).mean, degreesOfFreedom: null };
  const repeats = { uncertainty: (sd ?? 0) / Math.sqrt(count), degreesOfFreedom: count - 1 };
  return {
    value: mean,
    uncertainty: hypot(bench.uncertainty, repeats.uncertainty),
    degreesOfFreedom: effectiveFreedom([bench, repeats]),
  };
}
