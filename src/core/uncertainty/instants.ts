import type { Trace } from "../model.js";
import { hypot } from "../numerics/hypot.js";
import { square } from "../numerics/square.js";
import { fitLine } from "../statistics/line.js";
import type { MeasuredRun } from "../trace/normalised-run.js";
import { indexAtOrAfter, valueAt } from "../trace/series.js";
import { type Noise, rectangular } from "./noise.js";

/**
 * Up to this many sampling intervals of rise, the onset may lie anywhere between two samples; beyond, the interpolation
 * finds it better with the square of their number (derived, for smooth, straight and exponential rises: docs/science.md).
 */
const UNRESOLVED_INTERVALS = 1.2;
const RISE_SHARE = 0.8;

/** Standard uncertainty of the onset, s. */
export function onsetUncertainty({ trace, riseS, loadCurrentA, instantS }: MeasuredRun, noise: Noise): number {
  const after = Math.min(Math.max(indexAtOrAfter(trace.time, 0), 1), trace.time.length - 1);
  const interval = (trace.time[after] as number) - (trace.time[after - 1] as number);
  if (riseS === null || riseS === 0) return withInstant(rectangular(interval / 2), instantS);
  const resolved = Math.min(1, square((UNRESOLVED_INTERVALS * interval) / riseS));
  const slope = (RISE_SHARE * loadCurrentA) / riseS;
  return withInstant(hypot(resolved * rectangular(interval / 2), noise.current.deviation / slope), instantS);
}

/**
 * With what readings add whose rows do not tell their instant: one that is known by the first row that has it came at any time since the row before, and a line between two readings
 * puts what happened between them anywhere.
 */
const withInstant = (seconds: number, instantS: MeasuredRun["instantS"]): number =>
  instantS === null ? seconds : hypot(seconds, rectangular(instantS / 2));

/** Noise at a place between two samples over that of one sample, on average: the mean of p^2 + (1 - p)^2 is 2/3 (derived). */
const INTERPOLATED = Math.sqrt(2 / 3);
const SLOPE_S = 2;
const MIN_FOR_SLOPE = 3;
/** A slope that is less than so many of its own standard uncertainties is taken over twice the time, up to this, s (CP). */
const MIN_SIGNIFICANCE = 6;
const MAX_SLOPE_S = 64;

/**
 * Standard uncertainty of the instant of the cutoff, s: noise and digits of the voltage over its slope there. For a load removed
 * just above the cutoff, also how long the voltage would have taken to fall to it. 0 where the voltage does not fall.
 *
 * @param cutoffVolts null under a load that was not removed, but translated
 * @param instantS the instant of a reading is known to within it, s
 */
export function cutoffUncertainty(
  { time, voltage }: Trace,
  cutoffS: number | null,
  noise: Noise,
  cutoffVolts: number | null,
  instantS: MeasuredRun["instantS"] = null,
): number {
  if (cutoffS === null) return 0;
  const fall = fallBefore(time, voltage, cutoffS, noise.voltage.deviation);
  if (fall <= 0) return 0;
  const short = cutoffVolts === null ? 0 : Math.max(0, valueAt(time, voltage, cutoffS) - cutoffVolts);
  const { deviation, resolution } = noise.voltage;
  return withInstant(hypot(INTERPOLATED * deviation, resolution, rectangular(short)) / fall, instantS);
}

/** How fast the voltage falls before an instant, V/s: over 2 s, or as long as it takes for its noise not to hide it. */
function fallBefore(time: Float64Array, voltage: Float64Array, untilS: number, deviationV: number): number {
  const to = indexAtOrAfter(time, untilS);
  let fall = 0;
  for (let seconds = SLOPE_S; seconds <= MAX_SLOPE_S; seconds *= 2) {
    const from = Math.max(0, Math.min(indexAtOrAfter(time, Math.max(0, untilS - seconds)), to - MIN_FOR_SLOPE));
    fall = -(fitLine(time, voltage, from, to)?.slope ?? 0);
    // Of n samples, evenly over W: the slope's standard uncertainty is s sqrt(12 / n) / W.
    const uncertainty = (deviationV * Math.sqrt(12 / (to - from))) / (untilS - (time[from] as number));
    if (fall >= MIN_SIGNIFICANCE * uncertainty || (time[from] as number) <= 0) break;
  }
  return fall;
}
