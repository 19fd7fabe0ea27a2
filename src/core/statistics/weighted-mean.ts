import { square } from "../numerics/square.js";
import type { Estimate } from "./estimate.js";

export interface WeightedMean {
  readonly mean: number;
  readonly weights: readonly number[];
  readonly weightSum: number;
  /** sum(w (y - mean)^2), Cochran's Q where tau^2 is zero. */
  readonly scatter: number;
}

/**
 * Mean with the weights w = 1/(u^2 + tau^2) of the random-effects model. Summed about the first value, so that many
 * common leading digits cost nothing.
 *
 * @param estimates at least one, of one unit; uncertainties above zero unless tau^2 is
 * @param betweenVariance tau^2, in the square of that unit
 */
export function weightedMean(estimates: readonly Estimate[], betweenVariance: number): WeightedMean {
  const weights = estimates.map(({ uncertainty }) => 1 / (square(uncertainty) + betweenVariance));
  const weightSum = weights.reduce((sum, weight) => sum + weight, 0);
  const [reference] = estimates as [Estimate];
  const shift = estimates.reduce((sum, { value }, i) => sum + (weights[i] as number) * (value - reference.value), 0);
  const mean = reference.value + shift / weightSum;
  const scatter = estimates.reduce((sum, { value }, i) => sum + (weights[i] as number) * square(value - mean), 0);
  return { mean, weights, weightSum, scatter };
}
