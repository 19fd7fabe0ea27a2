/** A robust mean, and by what factor each value's weight was lessened for its distance. */
export interface HuberMean {
  readonly value: number;
  readonly factors: readonly number[];
}

/** 95 % as efficient as the mean where values are normally distributed. */
export const HUBER_C = 1.345;
const ROUNDING = 1e-12;

/**
 * Huber's M-estimate of location at a fixed scale: the mean with weights w_i min(1, c s / |y_i - m|), which solves
 * sum(w_i psi((y_i - m) / s)) = 0 with psi cut at +-c. No value, however far, pulls harder than one c s away. The sum falls with m and is
 * straight between the points y_i +- c s, so it is solved exactly between two of them; where it is zero over an interval, the point nearest
 * to a preferred one is taken.
 *
 * Source: P. J. Huber, Ann. Math. Statist. 35 (1964) 73-101; c = 1.345 for 95 % efficiency (from memory); AMC, Analyst 114
 * (1989) 1693-1697 applies it to laboratories' results.
 *
 * @param values at least one, in one unit
 * @param weights of the values, above zero
 * @param scale s, in that unit, above zero
 * @param preferred which of several solutions to take: the nearest to this, in that unit
 * @param c how many scales away a value's pull stops growing
 */
export function huberMean(
  values: readonly number[],
  weights: readonly number[],
  scale: number,
  preferred: number,
  c = HUBER_C,
): HuberMean {
  const pullAt = (centre: number) =>
    values.reduce((sum, one, i) => sum + (weights[i] as number) * clamp((one - centre) / scale, -c, c), 0);
  const corners = values.flatMap((one) => [one - c * scale, one + c * scale]).sort((a, b) => a - b);
  // What rounding leaves of a pull that is none.
  const least = ROUNDING * c * weights.reduce((sum, weight) => sum + weight, 0);
  const pulls = corners.map(pullAt).map((pull) => (Math.abs(pull) <= least ? 0 : pull));
  const value = zeroBetween(corners, pulls, preferred);
  const factors = values.map((one) => Math.min(1, (c * scale) / Math.max(Math.abs(one - value), Number.MIN_VALUE)));
  return { value, factors };
}

/** Where a falling function that is straight between its corners is zero; above zero at the first corner and below at the last. */
function zeroBetween(corners: readonly number[], heights: readonly number[], preferred: number): number {
  const below = heights.findIndex((height) => height < 0);
  const above = heights.findLastIndex((height) => height > 0);
  const [low, high] = [corners[above] as number, corners[below] as number];
  // Corners between both stand at zero, and all that lies between the first and the last of them.
  if (below - above > 1) return clamp(preferred, corners[above + 1] as number, corners[below - 1] as number);
  const [fallFrom, fallTo] = [heights[above] as number, heights[below] as number];
  return low + ((high - low) * fallFrom) / (fallFrom - fallTo);
}

const clamp = (value: number, low: number, high: number): number => Math.min(Math.max(value, low), high);
