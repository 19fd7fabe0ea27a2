import { exp, log } from "../numerics/library.js";
import { BITS } from "./window-shape.js";

/** Beyond this many standard deviations something happened to the load; no hash is made of it. */
const MAX_DEVIATION = 6;
/** Steps of a standard deviation in which the reliability of a bit is tabled. */
const STEPS = 32;
/**
 * Logarithm of the probability that a bit comes out again beside as much noise as there is residual, Phi(x) for a value of
 * x standard deviations; as 1/2 + 1/2 sqrt(1 - exp(-2 x^2 / pi)), within 0.004 (G. Polya, 1945; from memory): enough for a choice.
 */
const RELIABILITY = Float64Array.from({ length: MAX_DEVIATION * STEPS }, (_, i) => {
  const x = (i + 0.5) / STEPS;
  return log(0.5 + 0.5 * Math.sqrt(1 - exp((-2 * x * x) / Math.PI)));
});

/**
 * For every offset, the reliability of all bits of its hash together (a logarithm); -Infinity where something happened to the load.
 *
 * @param values `BITS` values for each offset, in standard deviations
 */
export function bitReliability(values: Float64Array): Float64Array {
  const sums = new Float64Array(values.length / BITS);
  for (let at = 0; at < sums.length; at++) {
    let sum = 0;
    for (let i = at * BITS; i < (at + 1) * BITS; i++) {
      sum += RELIABILITY[Math.floor(Math.abs(values[i] as number) * STEPS)] ?? Number.NEGATIVE_INFINITY;
    }
    sums[at] = sum;
  }
  return sums;
}

/** The `count` bits of the hash at an offset whose values are the smallest, the smallest first. */
export function leastReliableBits(values: Float64Array, at: number, count: number): number[] {
  const weakest: number[] = [];
  const sizes: number[] = [];
  for (let bit = 0; bit < BITS; bit++) {
    const size = Math.abs(values[at * BITS + bit] as number);
    let rank = weakest.length;
    while (rank > 0 && size < (sizes[rank - 1] as number)) rank--;
    if (rank === count) continue;
    for (let later = Math.min(weakest.length, count - 1); later > rank; later--) {
      weakest[later] = weakest[later - 1] as number;
      sizes[later] = sizes[later - 1] as number;
    }
    weakest[rank] = bit;
    sizes[rank] = size;
  }
  return weakest;
}
