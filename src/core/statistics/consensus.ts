import { hypot } from "../numerics/hypot.js";
import { square } from "../numerics/square.js";
import { effectiveFreedom } from "../uncertainty/effective-freedom.js";
import type { EstimateWithFreedom } from "./estimate.js";
import { weightedMean } from "./weighted-mean.js";

/** The mean of several estimates under the random-effects model. */
export interface Consensus extends EstimateWithFreedom {
  /** Between-group variance tau^2, in the square of the value's unit. */
  readonly betweenVariance: number;
  /** Share of each estimate in the mean, in their order; together 1. */
  readonly shares: readonly number[];
}

const ROUNDS = 200;
const CONVERGED = 1e-14;

/**
 * Mean of independent estimates by the random-effects model with the between-group variance of Mandel and Paule:
 * weights w = 1/(u^2 + tau^2), mean = sum(w y)/sum(w), u = 1/sqrt(sum(w)), where tau^2 solves
 * sum(w (y - mean)^2) = k - 1, and is 0 when the sum is already below that without it. Degrees of freedom by Welch and
 * Satterthwaite: tau^2 is known from k estimates, so its part of u^2 has k - 1.
 *
 * Source: R. C. Paule, J. Mandel, J. Res. NBS 87 (1982) 377-385; R. DerSimonian, R. Kacker,
 * Contemp. Clin. Trials 28 (2007) 105-114.
 *
 * @param estimates at least one; uncertainties above zero
 * @throws RangeError for no estimate or an uncertainty that is not above zero
 */
export function consensusOf(estimates: readonly EstimateWithFreedom[]): Consensus {
  if (estimates.length === 0 || estimates.some(({ uncertainty }) => !(uncertainty > 0))) {
    throw new RangeError("a consensus needs at least one estimate, and uncertainties above zero");
  }
  const freedom = estimates.length - 1;
  let betweenVariance = 0;
  let state = weightedMean(estimates, betweenVariance);
  // Newton's method from below: the excess falls with tau^2 and is convex, so every step stays below the solution.
  for (let round = 0; round < ROUNDS && state.scatter > freedom; round++) {
    const { mean, weights } = state;
    const slope = estimates.reduce((sum, { value }, i) => sum + square((weights[i] as number) * (value - mean)), 0);
    const step = (state.scatter - freedom) / slope;
    betweenVariance += step;
    state = weightedMean(estimates, betweenVariance);
    if (step <= CONVERGED * betweenVariance) break;
  }
  const shares = state.weights.map((weight) => weight / state.weightSum);
  const parts = estimates.map(({ uncertainty, degreesOfFreedom }, i) => {
    return { uncertainty: (shares[i] as number) * uncertainty, degreesOfFreedom };
  });
  const between = { uncertainty: Math.sqrt(betweenVariance) * hypot(...shares), degreesOfFreedom: freedom };
  return {
    value: state.mean,
    uncertainty: 1 / Math.sqrt(state.weightSum),
    degreesOfFreedom: effectiveFreedom([...parts, between]),
    betweenVariance,
    shares,
  };
}
