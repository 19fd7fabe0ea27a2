/** Sums of squares outside of these have lost digits, or all of them. */
const [MIN_SQUARES, MAX_SQUARES] = [1e-280, 1e300];

/**
 * The root of the sum of squares, in the unit of the values; 0 of none. Infinite where a value is, whatever the others are; else NaN where one is (ECMA-262, `Math.hypot`).
 * By sums, products and a square root alone, unlike `Math.hypot`, whose last digits are the engine's.
 */
export function hypot(...values: readonly number[]): number {
  const squares = sumOfSquares(values, 1);
  if (squares > MIN_SQUARES && squares < MAX_SQUARES) return Math.sqrt(squares);
  const sizes = values.map(Math.abs);
  if (sizes.includes(Number.POSITIVE_INFINITY)) return Number.POSITIVE_INFINITY;
  const largest = Math.max(0, ...sizes);
  if (largest === 0 || !Number.isFinite(largest)) return largest;
  return largest * Math.sqrt(sumOfSquares(values, largest));
}

function sumOfSquares(values: readonly number[], unit: number): number {
  let sum = 0;
  for (const value of values) sum += (value / unit) * (value / unit);
  return sum;
}
