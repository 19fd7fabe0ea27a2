import { square } from "../numerics/square.js";
import type { Estimate } from "./estimate.js";
import { weightedMean } from "./weighted-mean.js";

/** The random-effects mean by a second estimator of the between-tester variance. */
export interface CrossCheck extends Estimate {
  /** tau^2, in the square of the value's unit. */
  readonly betweenVariance: number;
}

/**
 * The random-effects mean with the between-group variance of DerSimonian and Laird, which is a closed form:
 * tau^2 = max(0, (Q - (k - 1)) / (sum w - sum w^2 / sum w)), w = 1/u^2, Q = sum(w (y - mean)^2). A cross-check beside
 * Mandel and Paule's: for two estimates both are the same, and where they part, the estimates do not agree and differ in weight.
 *
 * Source: R. DerSimonian, N. Laird, Controlled Clinical Trials 7 (1986) 177-188; R. DerSimonian, R. Kacker,
 * Contemp. Clin. Trials 28 (2007) 105-114.
 *
 * @param estimates at least one; uncertainties above zero
 */
export function dersimonianLaird(estimates: readonly Estimate[]): CrossCheck {
  const { scatter, weights, weightSum } = weightedMean(estimates, 0);
  const squaredWeights = weights.reduce((sum, weight) => sum + square(weight), 0);
  const excess = scatter - (estimates.length - 1);
  const betweenVariance = excess > 0 ? excess / (weightSum - squaredWeights / weightSum) : 0;
  const { mean, weightSum: total } = weightedMean(estimates, betweenVariance);
  return { value: mean, uncertainty: 1 / Math.sqrt(total), betweenVariance };
}
