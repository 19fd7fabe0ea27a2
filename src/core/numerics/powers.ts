/** 10 to a whole power: what its decimal text means, which ECMA-262 fixes to the bit. */
export const powerOfTen = (exponent: number): number => Number(`1e${exponent}`);

/** The whole n for which 10^n <= |value| < 10^(n + 1); read off the decimal text, so without rounding. `value` is finite and not zero. */
export const decimalExponent = (value: number): number => Number(value.toExponential().split("e")[1]);

/**
 * The largest power of two that is at most `value`.
 *
 * @param value from 1 to below 2^32
 * @throws RangeError outside of that
 */
export function powerOfTwoUpTo(value: number): number {
  if (!(value >= 1 && value < 4294967296)) throw new RangeError(`no power of two is told up to ${value}`);
  return 2147483648 >>> Math.clz32(value);
}

/**
 * The smallest power of two that is at least `value`.
 *
 * @param value from 1 to below 2^32
 * @throws RangeError outside of that
 */
export function powerOfTwoFrom(value: number): number {
  const below = powerOfTwoUpTo(value);
  return below < value ? 2 * below : below;
}
