import { fourierOf } from "../copies/fourier.js";
import { loadCourse } from "../copies/load-course.js";
import { lessLocalLine } from "../copies/local-line.js";
import { loadedStretch } from "../copies/residual.js";
import type { Trace } from "../model.js";
import { powerOfTwoUpTo } from "../numerics/powers.js";
import { square } from "../numerics/square.js";
import { indexAtOrAfter } from "../trace/series.js";

const SETTLING_S = 5;
const ENDING_S = 2;
/** Samples looked at, a power of two of them: at least and at most. */
const MIN_SAMPLES = 256;
const MAX_SAMPLES = 2048;
/** The bell of the trend that is taken out, as a share of the length. */
const TREND_SHARE = 1 / 25;
/** Frequencies that count as slow, in periods per length; the upper half of all counts as fast. */
const SLOW = [8, 40] as const;

/**
 * How much more a load moves by itself slowly than fast: the mean power of `loadCourse` at 8 to 40 periods in its length over that in the
 * upper half of all frequencies. Independent noise of every sample has 1, and so has an electronic load that holds its current.
 *
 * @returns null where the load was on for too few samples, or shows nothing at all
 */
export function movementRatio(trace: Trace): number | null {
  const { fromS, toS } = loadedStretch(trace);
  const from = indexAtOrAfter(trace.time, fromS + SETTLING_S);
  const available = indexAtOrAfter(trace.time, toS - ENDING_S) - from;
  if (available < MIN_SAMPLES) return null;
  const samples = Math.min(MAX_SAMPLES, powerOfTwoUpTo(available));
  const first = from + ((available - samples) >> 1);
  const course = loadCourse(trace).subarray(first, first + samples);
  const residual = lessLocalLine(lessLocalLine(course, TREND_SHARE * samples), TREND_SHARE * samples);
  const { re, im } = fourierOf(samples).of(residual);
  const power = (low: number, high: number) => {
    let sum = 0;
    for (let k = low; k < high; k++) sum += square(re[k] as number) + square(im[k] as number);
    return sum / (high - low);
  };
  const fast = power(samples / 4, samples / 2);
  return fast > 0 ? power(...SLOW) / fast : null;
}
