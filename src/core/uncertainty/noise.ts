import type { Reading } from "../figures/reading.js";
import type { Trace } from "../model.js";
import { plusTimes } from "../numerics/each-value.js";
import { hypot } from "../numerics/hypot.js";
import type { SummedCells } from "../trace/cells/summed-cells.js";
import type { MeasuredRun } from "../trace/normalised-run.js";
import { powerOf } from "../trace/power.js";
import { indexAtOrAfter } from "../trace/series.js";
import { seldomReadNoise } from "./probe-readings.js";
import { MEDIAN_FACTOR, type SampleNoise, sampleNoise } from "./sample-noise.js";
import { summedNoise } from "./summed-cells.js";

/** A rectangular distribution of half-width a has the standard uncertainty a / sqrt(3) (JCGM 100 4.3.7; clause from memory). */
export const rectangular = (halfWidth: number): number => halfWidth / Math.sqrt(3);

export interface Noise {
  readonly power: SampleNoise;
  readonly voltage: SampleNoise;
  readonly current: SampleNoise;
  readonly temperature: SampleNoise;
  readonly rateHz: number;
}

const NO_NOISE: SampleNoise = { deviation: 0, resolution: 0, step: Number.POSITIVE_INFINITY };
const SETTLED_S = 1;

/**
 * Noise of a trace under load, from its second differences: for independent noise of standard deviation s about a
 * course that is linear over three samples, y[i-1] - 2 y[i] + y[i+1] has the variance 6 s^2.
 *
 * Digits are those of the readings: of the voltage as it was sensed, without what the leads were corrected by. A sum or a product of readings
 * shows no step; what their digits leave in it is propagated (JCGM 100 5.1.2).
 *
 * @param leadsOhm by which current times resistance was added to the voltage as sensed, ohm; 0 or null where nothing was
 * @param summed the cells of which the voltage is the sum; null where it was logged
 * @param run the channel that has values between readings of its own
 */
export function noiseOf(
  trace: Trace,
  endS: number,
  rateHz: number,
  leadsOhm: number | null,
  summed: SummedCells | null = null,
  { joined }: Pick<MeasuredRun, "joined"> = { joined: null },
): Noise {
  const from = indexAtOrAfter(trace.time, SETTLED_S);
  const to = indexAtOrAfter(trace.time, endS);
  const hidden = (channel: "voltage" | "current") => (joined?.channel === channel ? joined.hiddenNoise : 1);
  const current = withHidden(sampleNoise(trace.current, from, to), hidden("current"));
  const sensed = sampleNoise(leadsOhm ? plusTimes(trace.voltage, -leadsOhm, trace.current) : trace.voltage, from, to);
  const read = withHidden(summed ? summedNoise(sensed, summed, from, to) : sensed, hidden("voltage"));
  const voltage = leadsOhm ? compensatedNoise(read, sampleNoise(trace.voltage, from, to), current, leadsOhm) : read;
  return {
    power: powerNoise(trace, { voltage, current }, from, to, joined !== null),
    voltage,
    current,
    temperature: trace.temperature ? probeNoise(trace.time, trace.temperature, from, to) : NO_NOISE,
    rateHz,
  };
}

const withHidden = (noise: SampleNoise, factor: number): SampleNoise =>
  factor === 1 ? noise : { ...noise, deviation: factor * noise.deviation };

/** Of the probe's own readings, where rows repeat them or were filled in between. */
function probeNoise(time: Float64Array, celsius: Float64Array, from: number, to: number): SampleNoise {
  return seldomReadNoise(time, celsius, from, to) ?? sampleNoise(celsius, from, to);
}

function compensatedNoise(
  sensed: SampleNoise,
  { deviation }: SampleNoise,
  current: SampleNoise,
  leadsOhm: number,
): SampleNoise {
  return { deviation, resolution: hypot(sensed.resolution, leadsOhm * current.resolution), step: sensed.step };
}

function powerNoise(
  trace: Trace,
  by: Pick<Noise, "voltage" | "current">,
  from: number,
  to: number,
  isJoined: boolean,
): SampleNoise {
  const volts = meanOf(trace.voltage, from, to);
  const amperes = meanOf(trace.current, from, to);
  const shown = sampleNoise(powerOf(trace), from, to).deviation;
  const hidden = isJoined ? hypot(amperes * by.voltage.deviation, volts * by.current.deviation) : 0;
  const deviation = Math.max(shown, hidden);
  const resolution = hypot(amperes * by.voltage.resolution, volts * by.current.resolution);
  return { deviation, resolution, step: Number.POSITIVE_INFINITY };
}

/**
 * Noise of a trace that was translated to another load, whose samples are computed: what the digits of the run's own readings leave goes on into
 * them. The load is a resistance, so its current follows the voltage.
 *
 * @param ohm the run's own resistance at the load, by which a change of its current changes what is translated
 */
export function translatedNoiseOf(trace: Trace, endS: number, own: Noise, ohm: number): Noise {
  const rateHz = trace.time.length / (trace.time.at(-1) as number);
  const found = noiseOf(trace, endS, rateHz, null);
  const [from, to] = [indexAtOrAfter(trace.time, SETTLED_S), indexAtOrAfter(trace.time, endS)];
  const volts = hypot(own.voltage.resolution, ohm * own.current.resolution);
  const amperes = (volts * meanOf(trace.current, from, to)) / meanOf(trace.voltage, from, to) || 0;
  const voltage = { ...found.voltage, resolution: volts };
  const current = { ...found.current, resolution: amperes };
  // Voltage and current of a resistance move together.
  const power = {
    ...found.power,
    resolution: 2 * volts * meanOf(trace.current, from, to),
    step: Number.POSITIVE_INFINITY,
  };
  return { ...found, voltage, current, power };
}

function meanOf(values: Float64Array, from: number, to: number): number {
  let sum = 0;
  for (let i = from; i < to; i++) sum += values[i] as number;
  return to > from ? sum / (to - from) : 0;
}

/** Standard uncertainty that noise and digits leave in one read, in the read's unit (type A, JCGM 100 4.2). */
export function noiseOfReading(read: Reading, noise: Noise): number {
  if (read.channel === "time") return 0;
  const { deviation, resolution, share = 1 } = noise[read.channel];
  if (read.integralOverS !== undefined) {
    const samples = Math.max(1, read.integralOverS * noise.rateHz);
    return (read.integralFactor ?? 1) * read.integralOverS * hypot(deviation / Math.sqrt(samples), resolution);
  }
  const averaged =
    read.medianOf === undefined
      ? deviation / Math.sqrt(Math.max(1, (read.meanOverS ?? 0) * share * noise.rateHz))
      : (deviation * (read.medianOf > 2 ? MEDIAN_FACTOR : 1)) / Math.sqrt(Math.max(1, share * read.medianOf));
  return hypot(averaged, resolution);
}
