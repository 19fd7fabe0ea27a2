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
  const bell = Float64Array.from({ length: reach + 1 }, (_, k) => exp(-0.5 * square(k / deviation)));
  const sums = sumsOf(bell);
  const result = new Float64Array(values.length);
  for (let i = 0; i < values.length; i++) {
    const [before, after] = [Math.min(reach, i), Math.min(reach, values.length - 1 - i)];
    result[i] = (values[i] as number) - lineAt(values, i, bell, sums, before, after);
  }
  return result;
}

/** Sums of w, w k and w k^2 over k = 1 .. n, for every n. */
interface Sums {
  readonly weights: Float64Array;
  readonly places: Float64Array;
  readonly squares: Float64Array;
}

function sumsOf(bell: Float64Array): Sums {
  const running = (moment: (k: number) => number) => {
    let sum = 0;
    return bell.map((weight, k) => (sum += k === 0 ? 0 : weight * moment(k)));
  };
  return { weights: running(() => 1), places: running((k) => k), squares: running(square) };
}

/** The line at its middle, which is fitted to so many values before it and after it. */
function lineAt(
  values: Float64Array,
  i: number,
  bell: Float64Array,
  sums: Sums,
  before: number,
  after: number,
): number {
  const both = Math.min(before, after);
  let [sum, moments] = [values[i] as number, 0];
  // What lies as far before as after has no moment of its own: in the middle of the values the line is their weighted mean.
  for (let k = 1; k <= both; k++) sum += (bell[k] as number) * ((values[i - k] as number) + (values[i + k] as number));
  const weights = 1 + (sums.weights[before] as number) + (sums.weights[after] as number);
  if (before === after) return sum / weights;
  for (let k = 1; k <= both; k++) {
    moments += (bell[k] as number) * k * ((values[i + k] as number) - (values[i - k] as number));
  }
  const side = after > before ? 1 : -1;
  for (let k = both + 1; k <= Math.max(before, after); k++) {
    const weighted = (bell[k] as number) * (values[i + side * k] as number);
    sum += weighted;
    moments += side * k * weighted;
  }
  const places = (sums.places[after] as number) - (sums.places[before] as number);
  const squares = (sums.squares[after] as number) + (sums.squares[before] as number);
  return (squares * sum - places * moments) / (weights * squares - places * places);
}
