/** Digits are looked for among whole numbers of this, in the channel's unit. */
const FINEST = 1e-5;
/** A number stands on a grid when it is so near to it, as a share of the grid's step; of a change, for each step of it. */
const NEAR = 1e-4;
const NEAR_CHANGE = 1e-3;
/** Numbers that lie no farther apart are the same. */
const SAME = 1e-9;

/**
 * The coarsest step of which all numbers of a channel, those that are none aside, are whole multiples: of decimal digits down to 10^-5, else of the least change; 0 where
 * there is none. A converter's own step in another unit is the least change.
 */
export const digitOf = (values: Float64Array): number => decimalDigit(values) || leastChange(values);

/** The coarsest step of decimal digits down to 10^-5 of which all numbers of a channel are whole multiples; 0 where there is none. */
export function decimalDigit(values: Float64Array): number {
  const first = values.find(Number.isFinite) ?? 0;
  let step = 0;
  for (const value of values) {
    if (!Number.isFinite(value)) continue;
    const steps = (value - first) / FINEST;
    const whole = Math.abs(Math.round(steps));
    if (Math.abs(Math.abs(steps) - whole) > NEAR) return 0;
    if (step === 0 || whole % step !== 0) step = commonDivisor(step, whole);
  }
  return step * FINEST;
}

function commonDivisor(a: number, b: number): number {
  return b === 0 ? a : commonDivisor(b, a % b);
}

function leastChange(values: Float64Array): number {
  let least = Number.POSITIVE_INFINITY;
  for (let i = 1; i < values.length; i++) {
    const change = Math.abs((values[i] as number) - (values[i - 1] as number));
    if (change > SAME && change < least) least = change;
  }
  if (!Number.isFinite(least)) return 0;
  const isWhole = (i: number) => {
    const steps = ((values[i] as number) - (values[i - 1] as number)) / least;
    return Math.abs(steps - Math.round(steps)) <= NEAR_CHANGE * Math.max(1, Math.abs(steps));
  };
  for (let i = 1; i < values.length; i++) if (!isWhole(i)) return 0;
  return least;
}
