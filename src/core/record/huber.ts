/** A robust mean, and by what factor each value's weight was lessened for its distance. */
export interface HuberMean {
  readonly value: number;
  readonly factors: readonly number[];
}

/** 95 % as efficient as the mean where values are normally distributed. */
export const HUBER_C = 1.345;

const ROUNDS = 500;
const CONVERGED = 1e-13;

/**
 * Huber's M-estimate of location at a fixed scale: the mean with weights w_i min(1, c s / |y_i - m|), which solves
 * sum(w_i psi((y_i - m) / s)) = 0 with psi cut at +-c. No value, however far, pulls harder than one c s away. Iterated from the median of
 * the values; the sum that it minimises is convex, so there is one solution (or an interval, of which one point is taken).
 *
 * Source: P. J. Huber, Ann. Math. Statist. 35 (1964) 73-101; c = 1.345 for 95 % efficiency (from memory); AMC, Analyst 114
 * (1989) 1693-1697 applies it to laboratories' results.
 *
 * @param values at least one, in one unit
 * @param weights of the values, above zero
 * @param scale s, in that unit, above zero
 * @param start where to begin, in that unit
 * @param c how many scales away a value's pull stops growing
 */
export function huberMean(
  values: readonly number[],
  weights: readonly number[],
  scale: number,
  start: number,
  c = HUBER_C,
): HuberMean {
  const factorsAt = (centre: number) =>
    values.map((value) => Math.min(1, (c * scale) / Math.max(Math.abs(value - centre), Number.MIN_VALUE)));
  let value = start;
  for (let round = 0; round < ROUNDS; round++) {
    const factors = factorsAt(value);
    let sum = 0;
    let weightSum = 0;
    values.forEach((one, i) => {
      const weight = (weights[i] as number) * (factors[i] as number);
      sum += weight * (one - value);
      weightSum += weight;
    });
    const step = sum / weightSum;
    value += step;
    if (Math.abs(step) <= CONVERGED * scale) break;
  }
  return { value, factors: factorsAt(value) };
}
