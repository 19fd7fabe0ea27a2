import { SIGNS } from "./look-shape.js";

/** Beyond this many standard deviations something happened to the load; no word is made of it. */
const LARGEST_DEVIATION = 6;
/** Steps of a standard deviation in which the sureness of a sign is tabled. */
const STEPS = 32;
/**
 * Logarithm of the probability that a sign comes out again beside as much noise as there is residual, Phi(x) for a value of
 * x standard deviations; as 1/2 + 1/2 sqrt(1 - exp(-2 x^2 / pi)), within 0.004 (G. Polya, 1945; from memory): enough for a choice.
 */
const SURENESS = Float64Array.from({ length: LARGEST_DEVIATION * STEPS }, (_, i) => {
  const x = (i + 0.5) / STEPS;
  return Math.log(0.5 + 0.5 * Math.sqrt(1 - Math.exp((-2 * x * x) / Math.PI)));
});

/**
 * For every place, how sure all signs of its word are; -Infinity where something happened to the load.
 *
 * @param values `SIGNS` values for each place, in standard deviations
 */
export function surenessOf(values: Float64Array): Float64Array {
  const sums = new Float64Array(values.length / SIGNS);
  for (let at = 0; at < sums.length; at++) {
    let sum = 0;
    for (let i = at * SIGNS; i < (at + 1) * SIGNS; i++) {
      sum += SURENESS[Math.floor(Math.abs(values[i] as number) * STEPS)] ?? Number.NEGATIVE_INFINITY;
    }
    sums[at] = sum;
  }
  return sums;
}

/** The `count` signs of the word at a place whose values are the smallest, the smallest first. */
export function weakestSigns(values: Float64Array, at: number, count: number): number[] {
  const weakest: number[] = [];
  const size = (sign: number) => Math.abs(values[at * SIGNS + sign] as number);
  for (let sign = 0; sign < SIGNS; sign++) {
    const rank = weakest.findIndex((one) => size(sign) < size(one));
    weakest.splice(rank < 0 ? weakest.length : rank, 0, sign);
    weakest.length = Math.min(weakest.length, count);
  }
  return weakest;
}
