export interface Sample {
  readonly count: number;
  readonly mean: number;
  /** Sum of the squared deviations from the mean. */
  readonly squares: number;
  /** Standard deviation with n - 1; null for fewer than two values. */
  readonly sd: number | null;
}

/**
 * Mean and standard deviation of at least one value, in two passes about the first value: many common leading
 * digits cost none of the others, and what rounding left in the mean is taken out of the squares.
 *
 * Source of the correction: T. F. Chan, G. H. Golub, R. J. LeVeque, The American Statistician 37 (1983) 242-247 (from memory).
 */
export function sampleOf(values: readonly number[]): Sample {
  const [first = Number.NaN] = values;
  const count = values.length;
  const shift = values.reduce((sum, value) => sum + (value - first), 0) / count;
  let remainder = 0;
  let raw = 0;
  for (const value of values) {
    const deviation = value - first - shift;
    remainder += deviation;
    raw += deviation * deviation;
  }
  const squares = Math.max(0, raw - (remainder * remainder) / count);
  return { count, mean: first + shift, squares, sd: count < 2 ? null : Math.sqrt(squares / (count - 1)) };
}
