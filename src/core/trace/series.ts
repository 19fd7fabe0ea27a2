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
  const after = indexAtOrAfter(time, instant);
  if (after === 0) return values[0] as number;
  if (after === time.length) return values[after - 1] as number;
  const t0 = time[after - 1] as number;
  const t1 = time[after] as number;
  const v0 = values[after - 1] as number;
  return v0 + (((values[after] as number) - v0) * (instant - t0)) / (t1 - t0);
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
  const starts = [from, to - width];
  for (let i = indexAtOrAfter(time, from); i < time.length && (time[i] as number) <= to; i++) {
    const t = time[i] as number;
    if (t <= to - width) starts.push(t);
    if (t - width >= from) starts.push(t - width);
  }
  starts.sort((a, b) => a - b);
  const growth = (start: number) => valueAt(time, values, start + width) - valueAt(time, values, start);
  const running = runningIntegral(time, values, from, to);
  let best: Window = { from, mean: Number.NEGATIVE_INFINITY };
  const tryStart = (start: number) => {
    const value = (running(start + width) - running(start)) / width;
    if (value > best.mean) best = { from: start, mean: value };
  };
  for (let i = 0; i < starts.length; i++) {
    const start = starts[i] as number;
    tryStart(start);
    const next = starts[i + 1];
    if (next === undefined || next === start) continue;
    const growthHere = growth(start);
    const growthNext = growth(next);
    if (growthHere > 0 && growthNext < 0) tryStart(start + ((next - start) * growthHere) / (growthHere - growthNext));
  }
  return best;
}

/** The integral from `from` to any instant up to `to`, each in logarithmic time. */
function runningIntegral(
  time: Float64Array,
  values: Float64Array,
  from: number,
  to: number,
): (instant: number) => number {
  const first = indexAtOrAfter(time, from);
  const last = indexAtOrAfter(time, to);
  const sums = new Float64Array(last - first + 1);
  const startValue = valueAt(time, values, from);
  for (let i = first; i < last; i++) {
    const t0 = i === first ? from : (time[i - 1] as number);
    const v0 = i === first ? startValue : (values[i - 1] as number);
    sums[i - first + 1] = (sums[i - first] as number) + (((values[i] as number) + v0) * ((time[i] as number) - t0)) / 2;
  }
  return (instant) => {
    const after = Math.min(Math.max(indexAtOrAfter(time, instant), first), last);
    const t0 = after === first ? from : (time[after - 1] as number);
    const v0 = after === first ? startValue : (values[after - 1] as number);
    return (sums[after - first] as number) + ((valueAt(time, values, instant) + v0) * (instant - t0)) / 2;
  };
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
