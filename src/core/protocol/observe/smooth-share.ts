import { square } from "../../numerics/square.js";

/** A course is judged in this many stretches, or in fewer that hold at least so many samples each. */
const MAX_STRETCHES = 20;
const MIN_PER_STRETCH = 10;
/** Samples that one reading of the noise takes. */
const POINTS = 5;
/** A stretch that moves by less than so many times the least departure may be the last of a filter's settling. */
const MIN_MOVEMENT = 1000;
/** More readings of the noise than this in one stretch tell no more. */
const ENOUGH_PER_STRETCH = 3000;

/** The stretches of a channel in which no noise and no digits show. */
export interface SmoothShare {
  /** Stretches that are smooth, in % of all. */
  readonly percent: number;
  /** Samples of the first smooth stretch and of the last one, `to` exclusive; null when there is none. */
  readonly samples: { readonly from: number; readonly to: number } | null;
}

/**
 * How much of a channel follows a smooth course more closely than `leastShare` of its reading. The residual is what is left of five
 * neighbouring samples beside a cubic in time, as the standard deviation of one sample: the fourth divided difference over
 * the root of the sum of its squared weights. A stretch in which two neighbours are the same number shows its digits, and
 * is none; nor is one that hardly moves.
 *
 * @param time instants in s, rising strictly; any spacing
 * @param from,to the samples looked at, `to` exclusive
 * @returns null when they are too few for one stretch
 */
export function smoothShare(
  time: Float64Array,
  values: Float64Array,
  from: number,
  to: number,
  leastShare: number,
): SmoothShare | null {
  const stretches = Math.min(MAX_STRETCHES, Math.floor((to - from) / MIN_PER_STRETCH));
  if (stretches < 1) return null;
  const bound = (stretch: number) => from + Math.floor(((to - from) * stretch) / stretches);
  const smooth: number[] = [];
  for (let stretch = 0; stretch < stretches; stretch++)
    if (isSmooth(time, values, bound(stretch), bound(stretch + 1), leastShare)) smooth.push(stretch);
  const [first, last] = [smooth[0], smooth.at(-1)];
  const samples = first === undefined || last === undefined ? null : { from: bound(first), to: bound(last + 1) };
  return { percent: (100 * smooth.length) / stretches, samples };
}

/** Whether the root mean square of the residuals is below its share of the mean reading, in samples that move and never repeat. */
function isSmooth(time: Float64Array, values: Float64Array, from: number, to: number, leastShare: number): boolean {
  const stride = Math.max(1, Math.ceil((to - from) / ENOUGH_PER_STRETCH));
  let squares = 0;
  let readings = 0;
  let count = 0;
  let [least, most] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (let i = from; i + POINTS <= to; i += stride) {
    const value = values[i] as number;
    if (value === values[i + 1]) return false;
    squares += square(residual(time, values, i));
    readings += Math.abs(value);
    least = Math.min(least, value);
    most = Math.max(most, value);
    count++;
  }
  const floor = (leastShare * readings) / count;
  return Math.sqrt(squares / count) < floor && most - least >= MIN_MOVEMENT * floor;
}

/** Departure of five samples from a cubic in time, as the standard deviation of one sample. */
function residual(time: Float64Array, values: Float64Array, first: number): number {
  let difference = 0;
  let weights = 0;
  for (let i = first; i < first + POINTS; i++) {
    let distances = 1;
    for (let j = first; j < first + POINTS; j++) if (j !== i) distances *= (time[i] as number) - (time[j] as number);
    difference += (values[i] as number) / distances;
    weights += 1 / square(distances);
  }
  return difference / Math.sqrt(weights);
}
