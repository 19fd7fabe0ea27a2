import { exp } from "../numerics/library.js";
import { square } from "../numerics/square.js";

/** The weights' bell curve is cut at so many of its standard deviations. */
const REACH = 3;

/**
 * Removes a slow trend: from each value it subtracts a straight line fitted to the value's neighbours by weighted least squares. The weights follow a
 * Gaussian bell curve around the value. Near the ends the fit uses the neighbours that exist.
 *
 * @param deviation standard deviation of the bell curve, in numbers of values
 */
export function lessLocalLine(values: Float64Array, deviation: number): Float64Array {
  const reach = Math.max(2, Math.round(REACH * deviation));
  const bell = new Float64Array(reach + 1);
  for (let k = 0; k <= reach; k++) bell[k] = exp(-0.5 * square(k / deviation));
  const sums = sumsOf(bell);
  const result = new Float64Array(values.length);
  const until = inTheMiddle(values, bell, sums, result);
  const ends = Math.min(Math.max(reach, values.length - until), Math.ceil(values.length / 2));
  for (let i = 0; i < ends; i++) atBothEnds(values, i, bell, sums, result);
  return result;
}

/**
 * Does the same where the whole bell lies within the values, four values at a time: sums that do not wait for each other, each in the order
 * of its terms.
 *
 * @returns the first value behind those
 */
function inTheMiddle(values: Float64Array, bell: Float64Array, sums: Sums, result: Float64Array): number {
  const reach = bell.length - 1;
  const weights = 1 + (sums.weights[reach] as number) + (sums.weights[reach] as number);
  let i = reach;
  for (; i + 3 + reach < values.length; i += 4) {
    const v0 = values[i] as number;
    const v1 = values[i + 1] as number;
    const v2 = values[i + 2] as number;
    const v3 = values[i + 3] as number;
    let s0 = v0;
    let s1 = v1;
    let s2 = v2;
    let s3 = v3;
    // What was read last on either side is read again by its neighbours.
    let b1 = v0;
    let b2 = v1;
    let b3 = v2;
    let a0 = v1;
    let a1 = v2;
    let a2 = v3;
    for (let k = 1; k <= reach; k++) {
      const weight = bell[k] as number;
      const b0 = values[i - k] as number;
      const a3 = values[i + 3 + k] as number;
      s0 += weight * (b0 + a0);
      s1 += weight * (b1 + a1);
      s2 += weight * (b2 + a2);
      s3 += weight * (b3 + a3);
      b3 = b2;
      b2 = b1;
      b1 = b0;
      a0 = a1;
      a1 = a2;
      a2 = a3;
    }
    result[i] = v0 - s0 / weights;
    result[i + 1] = v1 - s1 / weights;
    result[i + 2] = v2 - s2 / weights;
    result[i + 3] = v3 - s3 / weights;
  }
  return i;
}

/** Sums of w, w k and w k^2 over k = 1 .. n, for every n. */
interface Sums {
  readonly weights: Float64Array;
  readonly places: Float64Array;
  readonly squares: Float64Array;
}

function sumsOf(bell: Float64Array): Sums {
  const weights = new Float64Array(bell.length);
  const places = new Float64Array(bell.length);
  const squares = new Float64Array(bell.length);
  for (let k = 1; k < bell.length; k++) {
    const weight = bell[k] as number;
    weights[k] = (weights[k - 1] as number) + weight;
    places[k] = (places[k - 1] as number) + weight * k;
    squares[k] = (squares[k - 1] as number) + weight * square(k);
  }
  return { weights, places, squares };
}

/** Does the same for a value so far from the first one and for the one as far from the last: both have as many neighbours, on opposite sides. */
function atBothEnds(values: Float64Array, i: number, bell: Float64Array, sums: Sums, result: Float64Array): void {
  const j = values.length - 1 - i;
  const near = Math.min(bell.length - 1, i);
  const far = Math.min(bell.length - 1, j);
  let sumI = values[i] as number;
  let sumJ = values[j] as number;
  let momentI = 0;
  let momentJ = 0;
  for (let k = 1; k <= near; k++) {
    const weight = bell[k] as number;
    const moment = weight * k;
    const beforeI = values[i - k] as number;
    const afterI = values[i + k] as number;
    const beforeJ = values[j - k] as number;
    const afterJ = values[j + k] as number;
    sumI += weight * (beforeI + afterI);
    sumJ += weight * (beforeJ + afterJ);
    momentI += moment * (afterI - beforeI);
    momentJ += moment * (afterJ - beforeJ);
  }
  for (let k = near + 1; k <= far; k++) {
    const weight = bell[k] as number;
    const weightedI = weight * (values[i + k] as number);
    const weightedJ = weight * (values[j - k] as number);
    sumI += weightedI;
    sumJ += weightedJ;
    momentI += k * weightedI;
    momentJ -= k * weightedJ;
  }
  result[i] = (values[i] as number) - lineOf(sumI, momentI, sums, near, far);
  result[j] = (values[j] as number) - lineOf(sumJ, momentJ, sums, far, near);
}

/** The line at its middle, of the weighted sum and moment of so many values before it and after it. */
function lineOf(sum: number, moment: number, sums: Sums, before: number, after: number): number {
  const weights = 1 + (sums.weights[before] as number) + (sums.weights[after] as number);
  // What lies as far before as after has no moment of its own: in the middle of the values the line is their weighted mean.
  if (before === after) return sum / weights;
  const places = (sums.places[after] as number) - (sums.places[before] as number);
  const squares = (sums.squares[after] as number) + (sums.squares[before] as number);
  return (squares * sum - places * moment) / (weights * squares - places * places);
}
