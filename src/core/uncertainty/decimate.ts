import type { Trace } from "../model.js";

/**
 * The trace with the means of every `ceil(samples / most)` neighbours in place of its samples; fewer at both ends where the numbers ask for it. For differences
 * between two readings of the same decimate trace, in which what is lost cancels, and for the translation of long logs; what is
 * read off a trace under its own load is read off all of its samples.
 *
 * @param boundary no mean is of samples on both sides of this one
 */
export function decimate(trace: Trace, most: number, boundary = 0): Trace {
  return meansOf(trace, Math.ceil(trace.time.length / most), boundary);
}

/** The trace with the means of every `width` neighbours in place of its samples; `boundary` as above. */
export function meansOf(trace: Trace, width: number, boundary = 0): Trace {
  if (width <= 1) return trace;
  const means = (values: Float64Array) => blockMeans(values, width, boundary % width);
  return {
    time: means(trace.time),
    voltage: means(trace.voltage),
    current: means(trace.current),
    temperature: trace.temperature && means(trace.temperature),
  };
}

/** The samples `from` to `to` of a trace, `to` exclusive. */
export function stretchOf({ time, voltage, current, temperature }: Trace, from: number, to: number): Trace {
  const cut = (values: Float64Array) => values.subarray(from, to);
  return {
    time: cut(time),
    voltage: cut(voltage),
    current: cut(current),
    temperature: temperature && cut(temperature),
  };
}

/** Every second sample of a trace: those with an even, and those with an odd place. */
export function evenOddSplit(trace: Trace): readonly [even: Trace, odd: Trace] {
  const half = (first: number): Trace => {
    const pick = (values: Float64Array) => everySecond(values, first);
    return {
      time: pick(trace.time),
      voltage: pick(trace.voltage),
      current: pick(trace.current),
      temperature: trace.temperature && pick(trace.temperature),
    };
  };
  return [half(0), half(1)];
}

function everySecond(values: Float64Array, first: number): Float64Array {
  const picked = new Float64Array(Math.ceil((values.length - first) / 2));
  for (let i = 0; i < picked.length; i++) picked[i] = values[first + 2 * i] as number;
  return picked;
}

/** Means over [0, first), then over every `width` values, the last ones over what is left. */
function blockMeans(values: Float64Array, width: number, first: number): Float64Array {
  const partial = first > 0 ? 1 : 0;
  const means = new Float64Array(partial + Math.ceil((values.length - first) / width));
  for (let block = 0; block < means.length; block++) {
    const from = Math.max(0, first + (block - partial) * width);
    const to = Math.min(values.length, first + (block - partial + 1) * width);
    let sum = 0;
    for (let i = from; i < to; i++) sum += values[i] as number;
    means[block] = sum / (to - from);
  }
  return means;
}
