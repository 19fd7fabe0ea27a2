import type { Trace } from "../model.js";
import { cellMeans, type LoadedStretch, type ResidualChannel, smoothed, standardised, subtract } from "./residual.js";
import { BITS, POINTS_PER_SCALE, type Windows } from "./window-shape.js";

/** Scales at which smoothed residuals are looked at, s: each four times the one before. */
export const SCALES_S = [0.1, 0.4, 1.6, 6.4, 25.6] as const;
type Scale = (typeof SCALES_S)[number];
/** Scales used of one trace, the finest ones that it allows: traces of up to four times the rate or length share one. */
const SCALES_USED = 2;
/** Samples per scale at least, and scales per trace at most: finer ones would be interpolation, or too much to look at. */
const SAMPLES_PER_SCALE = 1.5;
const MAX_LENGTH_SCALES = 400;
/** Standard deviations of the Gaussian filters that smooth and that give the trend, in points of a scale. */
const SMOOTHING_POINTS = 2;
const TREND_POINTS = 6;
/** After the load begins, this many scales are left out: there the pack's own relaxation is not yet slow. */
const SETTLING_SCALES = 10;
/** Scales, s, at which what a load does by itself is looked at, how many of one trace, and what is left out after it begins. */
export const COURSE_SCALES_S = [0.8, 1.6, 6.4, 25.6] as const;
const COURSE_SCALES_USED = 3;
const COURSE_SETTLING_SCALES = 3;

/**
 * Points of a window, counted from its own offset. The steps are long enough for the bits to be nearly independent, and
 * uneven, so that a hash shifted against another shares few of its points.
 */
const POINTS = [
  0, 6, 13, 18, 25, 31, 36, 44, 49, 55, 62, 66, 73, 79, 86, 91, 98, 104, 109, 117, 122, 128, 135, 139, 146,
];
const SPAN = POINTS.at(-1) as number;
/** Points that the filters take from each end. */
const MARGIN_POINTS = 3 * (SMOOTHING_POINTS + 2 * TREND_POINTS);
/** A window takes this share of a trace at most. */
const MAX_WINDOW_SHARE = 0.9;
/** The level of a logarithm. */
const ONE = Float64Array.of(1);

export function scalesOf({ fromS, toS, stepS }: LoadedStretch): Scale[] {
  const lengthS = toS - fromS;
  const isShort = (scale: Scale) => lengthS <= MAX_LENGTH_SCALES * scale || scale === SCALES_S.at(-1);
  return SCALES_S.filter((scale) => scale >= SAMPLES_PER_SCALE * stepS && isShort(scale)).slice(0, SCALES_USED);
}

/** Those of a load's own course: the slowest ones of which the trace is long enough to hold some windows, since they withstand most noise. */
export function courseScalesOf({ fromS, toS, stepS }: LoadedStretch): (typeof COURSE_SCALES_S)[number][] {
  const windowS = (scale: number) => scale * (COURSE_SETTLING_SCALES + (SPAN + 2 * MARGIN_POINTS) / POINTS_PER_SCALE);
  const fits = (scale: number) =>
    scale >= SAMPLES_PER_SCALE * stepS && windowS(scale) <= MAX_WINDOW_SHARE * (toS - fromS);
  return COURSE_SCALES_S.filter(fits).slice(-COURSE_SCALES_USED);
}

/** The same as `smoothedWindows` of what a load does by itself. */
export const courseWindows = (time: Float64Array, course: Float64Array, stretch: LoadedStretch, scale: number) =>
  windowsOfCourse({ time, values: course, level: ONE, scale, settlingScales: COURSE_SETTLING_SCALES }, stretch);

/**
 * Means over the grid's cells smoothed by half a scale, less their trend, which is taken out twice: what is left of a
 * course t^n is nothing up to n = 3. Null when there is no noise.
 */
export const smoothedWindows = (
  trace: Trace,
  stretch: LoadedStretch,
  channel: ResidualChannel,
  scale: Scale,
): Windows | null =>
  windowsOfCourse(
    { time: trace.time, values: trace[channel], level: trace[channel], scale, settlingScales: SETTLING_SCALES },
    stretch,
  );

interface Smoothed {
  readonly time: Float64Array;
  readonly values: Float64Array;
  /** What the residual is held against: no noise of any instrument is a millionth of it. */
  readonly level: Float64Array;
  readonly scale: number;
  readonly settlingScales: number;
}

function windowsOfCourse(
  { time, values: course, level, scale, settlingScales }: Smoothed,
  { fromS, toS }: LoadedStretch,
) {
  const grid = cellMeans(time, course, fromS + settlingScales * scale, toS, scale / POINTS_PER_SCALE);
  const smooth = smoothed(grid, SMOOTHING_POINTS);
  const once = subtract(smooth, smoothed(smooth, TREND_POINTS));
  const twice = subtract(once, smoothed(once, TREND_POINTS));
  const residual = standardised(twice.values, level);
  if (!residual) return null;
  const count = Math.max(0, residual.length - SPAN);
  const first = Math.round(twice.startS / twice.stepS);
  const values = new Float64Array(count * BITS);
  for (let at = 0; at < count; at++) {
    for (let bit = 0; bit < BITS; bit++) values[at * BITS + bit] = residual[at + (POINTS[bit] as number)] as number;
  }
  const offsets = new Int32Array(count);
  for (let at = 0; at < count; at++) offsets[at] = first + at;
  return { offsets, values };
}
