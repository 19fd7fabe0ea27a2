/** Reading of a channel that is linear between its samples. `time` rises strictly; all times in s. */

/** Index of the first sample at or after `instant`; `time.length` when there is none. */
export function indexAtOrAfter(time: Float64Array, instant: number): number {
  let low = 0;
  let high = time.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if ((time[middle] as number) < instant) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** Value at `instant`, linearly interpolated; the nearest sample's value outside the samples. */
export function valueAt(time: Float64Array, values: Float64Array, instant: number): number {
  return edgeValue(time, values, indexAtOrAfter(time, instant), instant);
}

/**
 * Integral over [from, to] by the trapezoidal rule, interpolated at both ends. Exact for a channel that is linear between
 * its samples; otherwise the error is at most (to - from) h^2 max|y''| / 12.
 */
export function integrate(time: Float64Array, values: Float64Array, from: number, to: number): number {
  let previousTime = from;
  let previousValue = valueAt(time, values, from);
  let sum = 0;
  for (let i = indexAtOrAfter(time, from); i < time.length && (time[i] as number) < to; i++) {
    const t = time[i] as number;
    const v = values[i] as number;
    sum += ((v + previousValue) * (t - previousTime)) / 2;
    previousTime = t;
    previousValue = v;
  }
  return sum + ((valueAt(time, values, to) + previousValue) * (to - previousTime)) / 2;
}

/** Time-weighted mean over [from, to]. */
export function mean(time: Float64Array, values: Float64Array, from: number, to: number): number {
  return integrate(time, values, from, to) / (to - from);
}

/** Means that differ by no more than this, relatively, may differ by rounding alone. */
const SAME_MEAN = 1e-9;

export interface Window {
  readonly from: number;
  readonly mean: number;
}

/**
 * The window of the given width within [from, to] over which the time-weighted mean is largest (the earliest of equals).
 * The mean is a quadratic of the window's start between the instants at which an edge meets a sample, so its maximum
 * is at such an instant, or between two of them where both edges have the same value.
 */
export function largestMean(time: Float64Array, values: Float64Array, width: number, from: number, to: number): Window {
  return largestMeanWithin(time, values, width, ...worthSearching(time, values, width, from, to));
}

/**
 * The part of [from, to] that can hold the window with the largest mean. A window has no larger mean than its greatest value, so
 * one that lies below the mean around the greatest value of all is not it.
 */
function worthSearching(
  time: Float64Array,
  values: Float64Array,
  width: number,
  from: number,
  to: number,
): readonly [from: number, to: number] {
  const first = Math.max(0, indexAtOrAfter(time, from) - 1);
  const last = Math.min(indexAtOrAfter(time, to), time.length - 1);
  let highest = first;
  for (let i = first + 1; i <= last; i++) if ((values[i] as number) > (values[highest] as number)) highest = i;
  const start = Math.max(from, Math.min((time[highest] as number) - width / 2, to - width));
  const around = mean(time, values, start, start + width);
  const level = around - SAME_MEAN * Math.abs(around);
  let left = first;
  while (left < highest && (values[left] as number) < level) left++;
  let right = last;
  while (right > highest && (values[right] as number) < level) right--;
  return [
    left === first ? from : Math.max(from, (time[left - 1] as number) - width),
    right === last ? to : Math.min(to, (time[right + 1] as number) + width),
  ];
}

function largestMeanWithin(time: Float64Array, values: Float64Array, width: number, from: number, to: number): Window {
  const lastStart = to - width;
  // The next sample after each edge of the window.
  let left = indexAtOrAfter(time, from);
  let right = indexAtOrAfter(time, from + width);
  let start = from;
  let growth = edgeValue(time, values, right, start + width) - edgeValue(time, values, left, start);
  // The window's integral, less that of the first window: only its changes matter for where it is largest.
  let gained = 0;
  let best = { from, gained: 0 };
  while (start < lastStart) {
    while (left < time.length && (time[left] as number) <= start) left++;
    while (right < time.length && (time[right] as number) - width <= start) right++;
    const next = Math.min(time[left] ?? lastStart, (time[right] ?? to) - width, lastStart);
    const nextGrowth = edgeValue(time, values, right, next + width) - edgeValue(time, values, left, next);
    if (growth > 0 && nextGrowth < 0) {
      const top = ((next - start) * growth) / (growth - nextGrowth);
      if (gained + (top * growth) / 2 > best.gained) best = { from: start + top, gained: gained + (top * growth) / 2 };
    }
    gained += ((next - start) * (growth + nextGrowth)) / 2;
    if (gained > best.gained) best = { from: next, gained };
    start = next;
    growth = nextGrowth;
  }
  return { from: best.from, mean: mean(time, values, best.from, best.from + width) };
}

/** Value at `instant`, which lies between the samples `after - 1` and `after`; the nearest one's outside the samples. */
export function edgeValue(time: Float64Array, values: Float64Array, after: number, instant: number): number {
  if (after === 0) return values[0] as number;
  if (after >= time.length) return values[time.length - 1] as number;
  const t0 = time[after - 1] as number;
  const v0 = values[after - 1] as number;
  return v0 + (((values[after] as number) - v0) * (instant - t0)) / ((time[after] as number) - t0);
}

/**
 * The first instant at or after `from` at which the channel, going on from its value there, reaches `level` in the given
 * direction; null when it never does before `to`.
 */
export function firstReach(
  time: Float64Array,
  values: Float64Array,
  level: number,
  direction: "up" | "down",
  from: number,
  to: number,
): number | null {
  const sign = direction === "up" ? 1 : -1;
  let t0 = from;
  let v0 = valueAt(time, values, from);
  if (sign * (v0 - level) >= 0) return from;
  for (let i = indexAtOrAfter(time, from); i < time.length; i++) {
    const t1 = time[i] as number;
    const v1 = values[i] as number;
    if (sign * (v1 - level) >= 0 && t1 > t0) {
      const at = t0 + ((t1 - t0) * (level - v0)) / (v1 - v0);
      return at <= to ? at : null;
    }
    if (t1 >= to) return null;
    t0 = t1;
    v0 = v1;
  }
  return null;
}
