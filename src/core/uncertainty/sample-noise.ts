/** What is not exact about one sample of a channel. */
export interface SampleNoise {
  /** Standard deviation about the channel's smooth course. */
  readonly deviation: number;
  /** Standard uncertainty of the digits of the readings it is made of: their step over sqrt(12) (JCGM 100 F.2.2.1), where noise does not average it. */
  readonly resolution: number;
  /** Step of the digits; infinite when the channel never changes, and for a product of readings. */
  readonly step: number;
  /** Readings for each sample, where samples repeat them or were filled in between; 1 when left out. */
  readonly share?: number;
}

/** The median of a sample from a normal distribution has sqrt(pi/2) times the standard deviation of its mean. */
export const MEDIAN_FACTOR = Math.sqrt(Math.PI / 2);
/** Relative difference below which two samples have the same digits. */
const SAME_VALUE = 1e-9;
/** More second differences than this tell no more of noise and digits. */
const ENOUGH_DIFFERENCES = 60_000;

/** Noise and digits of the samples [from, to) of a channel; of very many samples, from evenly spread second differences. */
export function sampleNoise(values: Float64Array, from: number, to: number): SampleNoise {
  const stride = Math.max(1, Math.ceil((to - from) / ENOUGH_DIFFERENCES));
  let sum = 0;
  let count = 0;
  let step = Number.POSITIVE_INFINITY;
  for (let i = from + 2; i < to; i += stride) {
    const before = values[i - 2] as number;
    const value = values[i - 1] as number;
    const bend = before - 2 * value + (values[i] as number);
    sum += bend * bend;
    count++;
    const change = Math.abs(value - before);
    if (change < step && change > SAME_VALUE * Math.abs(value)) step = change;
  }
  const deviation = count > 0 ? Math.sqrt(sum / count / 6) : 0;
  const dithered = deviation > step / 2 || !Number.isFinite(step);
  return { deviation, resolution: dithered ? 0 : step / Math.sqrt(12), step };
}
