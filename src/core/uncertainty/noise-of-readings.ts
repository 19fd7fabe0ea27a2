import type { Reading, ReadingKey, Readings } from "../figures/reading.js";
import type { Trace } from "../model.js";
import { hypot } from "../numerics/hypot.js";
import { log } from "../numerics/library.js";
import { fitLine } from "../statistics/line.js";
import { powerOf } from "../trace/power.js";
import { indexAtOrAfter, mean } from "../trace/series.js";
import { type Noise, noiseOfReading } from "./noise.js";

/** Windows whose power is within this share of the largest could as well have been the peak (common practice). */
const RIVAL_SHARE = 0.0005;
/** So could those that differ by less than this many standard deviations of a mean. */
const RIVAL_DEVIATIONS = 2;
/** Rival windows are tried this many to a window's width. */
const RIVALS_PER_WIDTH = 5;
const MAX_RIVALS = 500;
/**
 * Growth with ln n of the error of the largest of n independent normal means, its mean and its standard deviation together: 2.13
 * standard deviations of one for ten, 1.83 for five (Tippett, Biometrika 17 (1925) 364; values from memory).
 */
const MAX_GROWTH = 0.5;
/** The slope at an instant is that of the line through this time before and after it. */
const SLOPE_S = 5;
/** It is taken over twice the time where it is less than so many times what hides it, up to this, s (CP). */
const MIN_SIGNIFICANCE = 6;
const MAX_SLOPE_S = 80;

/**
 * Standard uncertainty that noise and digits leave in each read of a trace, in the read's unit; those that have none are absent.
 *
 * @param settledByCutoff reads before the cutoff whose noise is that of its instant, which is a source of its own
 */
export function noiseOfReadings(
  reads: Readings,
  trace: Trace,
  noise: Noise,
  settledByCutoff: readonly ReadingKey[],
): ReadonlyMap<ReadingKey, number> {
  const power = powerOf(trace);
  const found = new Map<ReadingKey, number>();
  for (const [key, read] of reads) {
    if (settledByCutoff.includes(key)) continue;
    const by =
      key === "time-to-limit" ? noiseOfReach(read.value, trace, noise) : noiseOfWindow(read, trace, power, noise);
    if (by > 0) found.set(key, by);
  }
  return found;
}

function noiseOfWindow(read: Reading, trace: Trace, power: Float64Array, noise: Noise): number {
  const own = noiseOfReading(read, noise);
  const { chosenFrom, meanOverS } = read;
  if (!chosenFrom || meanOverS === undefined) return own;
  const hottest = read.channel === "temperature";
  const level = hottest ? (trace.temperature ?? power) : power;
  const { deviation } = hottest ? noise.temperature : noise.power;
  const doubt = (RIVAL_DEVIATIONS * deviation) / Math.sqrt(Math.max(1, meanOverS * noise.rateHz));
  const rivals = rivalsOf(trace.time, level, {
    ...chosenFrom,
    width: meanOverS,
    doubt,
    share: hottest ? 0 : RIVAL_SHARE,
  });
  if (read.channel === "temperature" || read.channel === "power") {
    const independent = Math.max(1, rivals.length / RIVALS_PER_WIDTH);
    return own * (1 + MAX_GROWTH * log(independent));
  }
  const values = read.channel === "voltage" ? trace.voltage : trace.current;
  const means = rivals.map((from) => mean(trace.time, values, from, from + meanOverS));
  // Both the window read and the true one may be any of the rivals: the difference of two rectangular distributions.
  return hypot(own, (Math.max(...means) - Math.min(...means)) / Math.sqrt(6));
}

/** Starts of the windows that noise alone could have kept from being the one with the largest mean. */
function rivalsOf(
  time: Float64Array,
  values: Float64Array,
  { from, to, width, doubt, share }: { from: number; to: number; width: number; doubt: number; share: number },
): number[] {
  const steps = Math.min(MAX_RIVALS, Math.max(1, Math.round(((to - from) / width) * RIVALS_PER_WIDTH)));
  const windows = Array.from({ length: steps + 1 }, (_, step) => {
    const start = from + ((to - from) * step) / steps;
    return { start, mean: mean(time, values, start, start + width) };
  });
  const largest = windows.reduce((most, window) => Math.max(most, window.mean), Number.NEGATIVE_INFINITY);
  const least = largest - Math.max(share * Math.abs(largest), doubt);
  return windows.filter((window) => window.mean >= least).map(({ start }) => start);
}

/**
 * The first instant at which the temperature reaches a level moves by noise and digits over the slope there. With noise it is that of the first of the
 * readings that noise lifts so far.
 */
function noiseOfReach(instant: number, { time, temperature }: Trace, { temperature: noise, rateHz }: Noise): number {
  if (!temperature) return 0;
  const { deviation, resolution, share = 1 } = noise;
  const slope = slopeAround(instant, time, temperature, hypot(deviation, resolution));
  if (!(slope > 0)) return 0;
  const independent = Math.max(1, (deviation / slope) * share * rateHz);
  return hypot(deviation * (1 + MAX_GROWTH * log(independent)), resolution) / slope;
}

/** Change per second around an instant: over 5 s on either side, or as long as it takes for noise and digits not to hide it. */
function slopeAround(instant: number, time: Float64Array, values: Float64Array, hiddenBy: number): number {
  let slope = 0;
  for (let seconds = SLOPE_S; seconds <= MAX_SLOPE_S; seconds *= 2) {
    const from = indexAtOrAfter(time, Math.max(0, instant - seconds));
    const to = indexAtOrAfter(time, instant + seconds);
    slope = fitLine(time, values, from, to)?.slope ?? 0;
    if (2 * seconds * slope >= MIN_SIGNIFICANCE * hiddenBy) break;
  }
  return slope;
}
