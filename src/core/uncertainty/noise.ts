import type { Read } from "../figures/reads.js";
import type { Trace } from "../model.js";
import { indexAtOrAfter } from "../trace/series.js";

/** Standard deviation of one sample of each channel about its smooth course. */
export interface Noise {
  readonly power: number;
  readonly voltage: number;
  readonly current: number;
  readonly temperature: number;
  readonly rateHz: number;
}

const SETTLED_S = 1;

/** The median of a sample from a normal distribution has sqrt(pi/2) times the standard deviation of its mean. */
export const MEDIAN_FACTOR = Math.sqrt(Math.PI / 2);

/**
 * Noise of a trace under load, from its second differences: for independent noise of standard deviation s about a
 * course that is linear over three samples, y[i-1] - 2 y[i] + y[i+1] has the variance 6 s^2.
 */
export function noiseOf(trace: Trace, endS: number, rateHz: number): Noise {
  const from = indexAtOrAfter(trace.time, SETTLED_S);
  const to = indexAtOrAfter(trace.time, endS);
  const power = trace.voltage.map((volts, i) => volts * (trace.current[i] as number));
  return {
    power: sampleNoise(power, from, to),
    voltage: sampleNoise(trace.voltage, from, to),
    current: sampleNoise(trace.current, from, to),
    temperature: trace.temperature ? sampleNoise(trace.temperature, from, to) : 0,
    rateHz,
  };
}

function sampleNoise(values: Float64Array, from: number, to: number): number {
  let sum = 0;
  let count = 0;
  for (let i = from + 1; i < to - 1; i++) {
    const bend = (values[i - 1] as number) - 2 * (values[i] as number) + (values[i + 1] as number);
    sum += bend * bend;
    count++;
  }
  return count > 0 ? Math.sqrt(sum / count / 6) : 0;
}

/** Standard uncertainty that the noise leaves in one read, in the read's unit (type A, JCGM 100 4.2). */
export function noiseOfRead(read: Read, noise: Noise): number {
  if (read.channel === "time") return 0;
  const sample = noise[read.channel];
  if (read.medianOf !== undefined) return (sample * (read.medianOf > 2 ? MEDIAN_FACTOR : 1)) / Math.sqrt(read.medianOf);
  if (read.meanOverS !== undefined) return sample / Math.sqrt(Math.max(1, read.meanOverS * noise.rateHz));
  const seconds = read.integralOverS ?? 0;
  return (sample * (read.integralFactor ?? 0) * seconds) / Math.sqrt(Math.max(1, seconds * noise.rateHz));
}
