import { sumOf } from "../numerics/each-value.js";
import { exp } from "../numerics/library.js";
import { square } from "../numerics/square.js";
import { medianInPlace } from "../statistics/median.js";
import { indexAtOrAfter } from "../trace/series.js";
import { oncePerTrace } from "./once-per-trace.js";
import { Room } from "./room.js";

/** Median absolute deviation times this is the standard deviation of a normal distribution. */
const NORMAL_PER_MAD = 1.4826;
const MIN_SPREAD = 1e-6;

export type ResidualChannel = "voltage" | "current";
export const RESIDUAL_CHANNELS: readonly ResidualChannel[] = ["voltage", "current"];

/** What may show two traces to be one measurement: a channel of its own, or what the load did by itself. */
export type CopyChannel = ResidualChannel | "load";
export const COPY_CHANNELS: readonly CopyChannel[] = [...RESIDUAL_CHANNELS, "load"];

/** What of a trace is looked at: a stretch under load, s of the trace's time, and the median time between its samples, s. */
export interface LoadedStretch {
  readonly fromS: number;
  readonly toS: number;
  readonly stepS: number;
}

/** From where the current first reaches half of its typical value to where it last does. */
export const loadedStretch = oncePerTrace(({ time, current }): LoadedStretch => {
  const half = halfOfLoad(current);
  let first = 0;
  while (first < current.length && !((current[first] as number) >= half)) first++;
  let last = current.length - 1;
  while (last >= 0 && !((current[last] as number) >= half)) last--;
  const loaded = time.subarray(first, last + 1);
  const stepS = medianInPlace(stepsOf(loaded));
  return { fromS: loaded[0] as number, toS: loaded.at(-1) as number, stepS };
});

/** Half of the median of those currents that are no rest. */
function halfOfLoad(current: Float64Array): number {
  let largest = 0;
  for (let i = 0; i < current.length; i++) largest = Math.max(largest, current[i] as number);
  const loaded = new Float64Array(current.length);
  let count = 0;
  for (let i = 0; i < current.length; i++) {
    if ((current[i] as number) > 0.05 * largest) loaded[count++] = current[i] as number;
  }
  return medianInPlace(loaded.subarray(0, count)) / 2;
}

function stepsOf(time: Float64Array): Float64Array {
  const steps = new Float64Array(Math.max(0, time.length - 1));
  for (let i = 0; i < steps.length; i++) steps[i] = (time[i + 1] as number) - (time[i] as number);
  return steps;
}

/** Values on an even grid, from the instant `startS` on, `stepS` apart. */
export interface Grid {
  readonly startS: number;
  readonly stepS: number;
  readonly values: Float64Array;
}

/** Means of a channel that is linear between its samples over the cells of a grid within [fromS, toS]; each stands at its cell's middle. */
export function cellMeans(time: Float64Array, values: Float64Array, fromS: number, toS: number, stepS: number): Grid {
  const means = new Float64Array(Math.max(0, Math.floor((toS - fromS) / stepS)));
  const last = time.length - 1;
  let next = Math.max(1, indexAtOrAfter(time, fromS));
  let at = fromS;
  for (let cell = 0; cell < means.length; cell++) {
    const end = fromS + (cell + 1) * stepS;
    let area = 0;
    while (at < end) {
      while (next < last && (time[next] as number) <= at) next++;
      const following = time[next] as number;
      const to = next < last && following < end ? following : end;
      const t0 = time[next - 1] as number;
      const v0 = values[next - 1] as number;
      const rise = (values[next] as number) - v0;
      const duration = following - t0;
      area += ((v0 + (rise * (at - t0)) / duration + (v0 + (rise * (to - t0)) / duration)) / 2) * (to - at);
      at = to;
    }
    means[cell] = area / stepS;
  }
  return { startS: fromS + stepS / 2, stepS, values: means };
}

/** Gaussian filter cut at three standard deviations, which are `deviation` points long; what it cannot reach at both ends is lost. */
export function smoothed({ startS, stepS, values }: Grid, deviation: number): Grid {
  const reach = 3 * deviation;
  const weights = new Float64Array(2 * reach + 1);
  for (let i = 0; i < weights.length; i++) weights[i] = exp(-0.5 * square((i - reach) / deviation));
  const sum = sumOf(weights);
  for (let i = 0; i < weights.length; i++) weights[i] = (weights[i] as number) / sum;
  const result = new Float64Array(Math.max(0, values.length - 2 * reach));
  for (let i = 0; i < result.length; i++) {
    let total = 0;
    for (let k = 0; k < weights.length; k++) total += (weights[k] as number) * (values[i + k] as number);
    result[i] = total;
  }
  return { startS: startS + reach * stepS, stepS, values: result };
}

/** `from` less `what`, where both are. */
export function subtract(from: Grid, what: Grid): Grid {
  const shift = Math.round((what.startS - from.startS) / from.stepS);
  const values = new Float64Array(what.values.length);
  for (let i = 0; i < values.length; i++) values[i] = (from.values[i + shift] as number) - (what.values[i] as number);
  return { ...what, values };
}

/**
 * Puts a residual in robust standard deviations, in its own place; null when it is less than a millionth of the channel it is left of, which is no
 * noise of any instrument.
 */
export function standardised(residual: Float64Array, channel: Float64Array): Float64Array | null {
  const spread = NORMAL_PER_MAD * medianSize(residual);
  if (!(spread > MIN_SPREAD * medianSize(channel))) return null;
  for (let i = 0; i < residual.length; i++) residual[i] = (residual[i] as number) / spread;
  return residual;
}

const sizes = new Room();

/** The median of absolute values. */
function medianSize(values: Float64Array): number {
  const absolute = sizes.take(values.length);
  for (let i = 0; i < values.length; i++) absolute[i] = Math.abs(values[i] as number);
  return medianInPlace(absolute);
}
