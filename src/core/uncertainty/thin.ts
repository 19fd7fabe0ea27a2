import type { Trace } from "../model.js";

/**
 * The trace with the means of every `ceil(samples / most)` neighbours in place of its samples. For differences
 * between two readings of the same thinned trace, in which what is lost cancels, and for the translation of long logs; what is
 * read off a trace under its own load is read off all of its samples.
 */
export function thinned(trace: Trace, most: number): Trace {
  const width = Math.ceil(trace.time.length / most);
  if (width <= 1) return trace;
  const means = (values: Float64Array) => blockMeans(values, width);
  return {
    time: means(trace.time),
    voltage: means(trace.voltage),
    current: means(trace.current),
    temperature: trace.temperature && means(trace.temperature),
  };
}

function blockMeans(values: Float64Array, width: number): Float64Array {
  const means = new Float64Array(Math.floor(values.length / width));
  for (let block = 0; block < means.length; block++) {
    let sum = 0;
    for (let i = block * width; i < (block + 1) * width; i++) sum += values[i] as number;
    means[block] = sum / width;
  }
  return means;
}
