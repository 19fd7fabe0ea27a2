import type { Trace } from "../model.js";
import { indexAtOrAfter, valueAt } from "../trace/series.js";
import {
  cellMeans,
  type LoadedStretch,
  less,
  loadedStretch,
  RESIDUAL_CHANNELS,
  type ResidualChannel,
  smoothed,
  standardised,
} from "./residual.js";

/** Signs in a word. */
export const SIGNS = 22;

/** A channel's residual as words look at it: for each place, its values at the 22 points of the word there. */
export interface Looks {
  /** Which kind of residual, of `POINT_S`. */
  readonly kind: number;
  readonly channel: number;
  /** Where each word begins, in points of the kind from the time origin of the trace. */
  readonly places: Int32Array;
  /** 22 values for each place, in robust standard deviations. */
  readonly values: Float64Array;
}

/** Scales at which smoothed residuals are looked at, s: each twice the one before. */
const SCALES_S = [0.1, 0.2, 0.4, 0.8, 1.6, 3.2, 6.4, 12.8, 25.6] as const;
type Scale = (typeof SCALES_S)[number];
const POINTS_PER_SCALE = 4;
/** Scales used of one trace, the finest ones that it allows: a copy at a quarter of the rate still shares one of them. */
const SCALES_USED = 3;
/** Samples per scale at least, and scales per trace at most: finer ones would be interpolation, or too much to look at. */
const SAMPLES_PER_SCALE = 1.5;
const LONGEST_SCALES = 1000;
/** Standard deviations of the Gaussian filters that smooth and that give the trend, in points of a scale. */
const SMOOTHING_POINTS = 2;
const TREND_POINTS = 6;
/** After the load begins, this many scales are left out: there the pack's own relaxation is not yet slow. */
const SETTLING_SCALES = 10;

/** Units in which single samples are looked at, s, each with the longest time between samples for which it is used. */
const UNITS = [
  { unitS: 1, longestStepS: 0.5 },
  { unitS: 10, longestStepS: 5 },
  { unitS: 60, longestStepS: 30 },
] as const;
/** Points of a unit to which the place of a sample is known. */
const POINTS_PER_UNIT = 20;
/** Most samples at which words begin. */
const MOST_SAMPLES = 4000;

/** Between two points, s, for each kind: first the scales, then the units. */
const POINT_S: readonly number[] = [
  ...SCALES_S.map((scale) => scale / POINTS_PER_SCALE),
  ...UNITS.map(({ unitS }) => unitS / POINTS_PER_UNIT),
];

export const pointSeconds = (kind: number): number => POINT_S[kind] as number;

/**
 * Where a word looks, counted from its own place. The steps are long enough for the signs to be nearly independent, and
 * uneven, so that a word shifted against another shares few of its points.
 */
const POINTS = [0, 7, 17, 25, 32, 43, 52, 59, 70, 79, 87, 98, 105, 114, 125, 132, 142, 151, 159, 170, 177, 187];
/** The same among single samples, in units: whole ones, so that a copy with every second, fifth or tenth sample still has them. */
const WHOLE_UNITS = [0, 1, 3, 4, 5, 7, 9, 10, 11, 13, 14, 16, 18, 19, 20, 22, 23, 25, 26, 28, 29, 31];

/**
 * All looks at a trace. Smoothed residuals at three scales stay the same under resampling by interpolation or means; single
 * samples stay the same when some of them are left out. A gain, an offset, another unit or time origin hardly change either,
 * and two runs share none of their noise.
 */
export function looksAt(trace: Trace): Looks[] {
  const stretch = loadedStretch(trace);
  const lengthS = stretch.toS - stretch.fromS;
  const scales = SCALES_S.filter(
    (scale) => scale >= SAMPLES_PER_SCALE * stretch.stepS && lengthS <= LONGEST_SCALES * scale,
  ).slice(0, SCALES_USED);
  const unit = UNITS.find(({ longestStepS }) => stretch.stepS <= longestStepS);
  return RESIDUAL_CHANNELS.flatMap((channel) => [
    ...scales.map((scale) => smoothedLooks(trace, stretch, channel, scale)),
    ...(unit ? [sampleLooks(trace, stretch, channel, unit)] : []),
  ]).filter((looks) => looks !== null);
}

/**
 * Means over the grid's cells smoothed by half a scale, less their trend, which is taken out twice: what is left of a
 * course t^n is nothing up to n = 3.
 */
function smoothedLooks(trace: Trace, { fromS, toS }: LoadedStretch, channel: ResidualChannel, scale: Scale) {
  const grid = cellMeans(trace.time, trace[channel], fromS + SETTLING_SCALES * scale, toS, scale / POINTS_PER_SCALE);
  const smooth = smoothed(grid, SMOOTHING_POINTS);
  const once = less(smooth, smoothed(smooth, TREND_POINTS));
  const twice = less(once, smoothed(once, TREND_POINTS));
  const values = standardised(twice.values, trace[channel]);
  if (!values) return null;
  const count = Math.max(0, values.length - (POINTS.at(-1) as number));
  const first = Math.round(twice.startS / twice.stepS);
  return {
    kind: SCALES_S.indexOf(scale),
    channel: RESIDUAL_CHANNELS.indexOf(channel),
    places: Int32Array.from({ length: count }, (_, at) => first + at),
    values: gathered(count, (at, sign) => values[at + (POINTS[sign] as number)] as number),
  };
}

/** Single samples less the trend of the channel, and what lies whole units after each. */
function sampleLooks(
  trace: Trace,
  { fromS, toS }: LoadedStretch,
  channel: ResidualChannel,
  unit: (typeof UNITS)[number],
): Looks | null {
  const { unitS } = unit;
  const grid = cellMeans(
    trace.time,
    trace[channel],
    fromS + SETTLING_SCALES * (unitS / 2),
    toS,
    unitS / POINTS_PER_SCALE,
  );
  const once = smoothed(grid, TREND_POINTS);
  const bend = smoothed(less(grid, once), TREND_POINTS);
  const instants = bend.values.map((_, i) => bend.startS + i * bend.stepS);
  if (instants.length < 2) return null;
  const shift = Math.round((bend.startS - once.startS) / once.stepS);
  const trend = bend.values.map((one, i) => one + (once.values[i + shift] as number));
  const from = indexAtOrAfter(trace.time, instants[0] as number);
  const to = indexAtOrAfter(trace.time, instants.at(-1) as number);
  const time = trace.time.subarray(from, to);
  const residual = standardised(
    time.map((t, i) => (trace[channel][from + i] as number) - valueAt(instants, trend, t)),
    trace[channel],
  );
  if (!residual) return null;
  const lastS = (time.at(-1) as number) - (WHOLE_UNITS.at(-1) as number) * unitS;
  const stride = Math.ceil(time.length / MOST_SAMPLES);
  const starts = time.filter((t, i) => t <= lastS && i % stride === 0);
  return {
    kind: SCALES_S.length + UNITS.indexOf(unit),
    channel: RESIDUAL_CHANNELS.indexOf(channel),
    places: Int32Array.from(starts, (t) => Math.round((t * POINTS_PER_UNIT) / unitS)),
    values: gathered(starts.length, (at, sign) =>
      valueAt(time, residual, (starts[at] as number) + (WHOLE_UNITS[sign] as number) * unitS),
    ),
  };
}

function gathered(count: number, look: (at: number, sign: number) => number): Float64Array {
  const values = new Float64Array(count * SIGNS);
  for (let at = 0; at < count; at++)
    for (let sign = 0; sign < SIGNS; sign++) values[at * SIGNS + sign] = look(at, sign);
  return values;
}
