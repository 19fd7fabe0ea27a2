/** One result with its standard uncertainty. */
export interface Estimate {
  readonly value: number;
  readonly uncertainty: number;
}

/** The mean of several estimates under the random-effects model. */
export interface Consensus extends Estimate {
  /** Between-group variance tau^2, in the square of the value's unit. */
  readonly betweenVariance: number;
}

const ROUNDS = 200;
const CONVERGED = 1e-14;

/**
 * Mean of independent estimates by the random-effects model with the between-group variance of Mandel and Paule:
 * weights w = 1/(u^2 + tau^2), mean = sum(w y)/sum(w), u = 1/sqrt(sum(w)), where tau^2 solves
 * sum(w (y - mean)^2) = k - 1, and is 0 when the sum is already below that without it.
 *
 * Source: R. C. Paule, J. Mandel, J. Res. NBS 87 (1982) 377-385; R. DerSimonian, R. Kacker,
 * Contemp. Clin. Trials 28 (2007) 105-114.
 *
 * @param estimates at least one; uncertainties above zero
 * @throws RangeError for no estimate or an uncertainty that is not above zero
 */
export function consensusOf(estimates: readonly Estimate[]): Consensus {
  if (estimates.length === 0 || estimates.some(({ uncertainty }) => !(uncertainty > 0))) {
    throw new RangeError("a consensus needs at least one estimate, and uncertainties above zero");
  }
  const freedom = estimates.length - 1;
  let betweenVariance = 0;
  let state = weighted(estimates, betweenVariance);
  // Newton's method from below: the excess falls with tau^2 and is convex, so every step stays below the solution.
  for (let round = 0; round < ROUNDS && state.scatter > freedom; round++) {
    const step = (state.scatter - freedom) / state.scatterSlope;
    betweenVariance += step;
    state = weighted(estimates, betweenVariance);
    if (step <= CONVERGED * betweenVariance) break;
  }
  return { value: state.mean, uncertainty: 1 / Math.sqrt(state.weightSum), betweenVariance };
}

/** Weighted mean, scatter sum(w (y - mean)^2), and minus its slope over tau^2, sum(w^2 (y - mean)^2). */
function weighted(estimates: readonly Estimate[], betweenVariance: number) {
  const weights = estimates.map(({ uncertainty }) => 1 / (uncertainty ** 2 + betweenVariance));
  const weightSum = weights.reduce((sum, weight) => sum + weight, 0);
  const [reference] = estimates as [Estimate];
  // Summed about the first value, so that many common leading digits cost nothing.
  const shift = estimates.reduce((sum, { value }, i) => sum + (weights[i] as number) * (value - reference.value), 0);
  const mean = reference.value + shift / weightSum;
  let scatter = 0;
  let scatterSlope = 0;
  estimates.forEach(({ value }, i) => {
    const weight = weights[i] as number;
    scatter += weight * (value - mean) ** 2;
    scatterSlope += (weight * (value - mean)) ** 2;
  });
  return { mean, weightSum, scatter, scatterSlope };
}

/**
 * One tester's estimate from all runs of a pack: the mean of the runs, with their mean uncertainty, since one bench
 * errs alike in all of them, and the scatter of repeats over sqrt(n). Repeats cannot make it more certain than the bench.
 */
export function testerEstimate(runs: readonly Estimate[]): Estimate {
  const count = runs.length;
  const value = runs.reduce((sum, run) => sum + run.value, 0) / count;
  const systematic = runs.reduce((sum, run) => sum + run.uncertainty, 0) / count;
  const scatter = count < 2 ? 0 : runs.reduce((sum, run) => sum + (run.value - value) ** 2, 0) / (count - 1);
  return { value, uncertainty: Math.hypot(systematic, Math.sqrt(scatter / count)) };
}
