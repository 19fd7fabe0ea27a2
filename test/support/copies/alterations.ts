import { createRandom } from "../../../seed/simulator/random.js";
import type { Trace } from "../../../src/core/model.js";
import { median } from "../../../src/core/statistics/median.js";
import { mean, valueAt } from "../../../src/core/trace/series.js";

/** What somebody may do to a trace to pass it off as another one. Times in s; `seed` draws what is random. */
export type Alteration = (trace: Trace, seed: number) => Trace;

const mapped = (trace: Trace, time: Float64Array, read: (values: Float64Array) => Float64Array): Trace => ({
  time,
  voltage: read(trace.voltage),
  current: read(trace.current),
  temperature: null,
});

const lastS = ({ time }: Trace): number => time.at(-1) as number;
const firstS = ({ time }: Trace): number => time[0] as number;

const within = (trace: Trace, fromS: number, toS: number): Trace => {
  const isKept = (_: number, i: number) => (trace.time[i] as number) >= fromS && (trace.time[i] as number) <= toS;
  return mapped(trace, trace.time.filter(isKept), (values) => values.filter(isKept));
};

/** Keeps the part of the trace from one share of its length to another. */
export const trimmed =
  (fromShare: number, toShare: number): Alteration =>
  (trace) => {
    const lengthS = lastS(trace) - firstS(trace);
    return within(trace, firstS(trace) + fromShare * lengthS, firstS(trace) + toShare * lengthS);
  };

export const shifted =
  (seconds: number): Alteration =>
  (trace) =>
    mapped(
      trace,
      trace.time.map((t) => t + seconds),
      (values) => values,
    );

export const scaled =
  (voltage: number, current: number): Alteration =>
  (trace) => ({
    ...trace,
    voltage: trace.voltage.map((one) => one * voltage),
    current: trace.current.map((one) => one * current),
  });

const evenly = (trace: Trace, rateHz: number, offsetS: number): Float64Array =>
  Float64Array.from(
    { length: Math.floor((lastS(trace) - firstS(trace) - 2 * offsetS) * rateHz) },
    (_, i) => firstS(trace) + offsetS + i / rateHz,
  );

/** Sampled anew at another rate, on straight lines between the samples. */
export const interpolated =
  (rateHz: number): Alteration =>
  (trace, seed) => {
    const time = evenly(trace, rateHz, createRandom(1 + seed).between(0, 1 / rateHz));
    return mapped(trace, time, (values) => time.map((t) => valueAt(trace.time, values, t)));
  };

/** Means over the time between samples of another rate. */
export const averaged =
  (rateHz: number): Alteration =>
  (trace) => {
    const half = 0.5 / rateHz;
    const time = evenly(trace, rateHz, half);
    return mapped(trace, time, (values) => time.map((t) => mean(trace.time, values, t - half, t + half)));
  };

/** Every `n`th sample. */
export const decimate =
  (n: number): Alteration =>
  (trace, seed) => {
    const isKept = (_: number, i: number) => i % n === seed % n;
    return mapped(trace, trace.time.filter(isKept), (values) => values.filter(isKept));
  };

/** Noise added and digits cut, in V and A. */
export const blurred =
  (noise: { volts: number; amperes: number }, step: { volts: number; amperes: number }): Alteration =>
  (trace, seed) => {
    const random = createRandom(1 + seed);
    const blur = (values: Float64Array, deviation: number, digit: number) =>
      values.map((one) => Math.round((one + deviation * random.gaussian()) / digit) * digit);
    return {
      ...trace,
      voltage: blur(trace.voltage, noise.volts, step.volts),
      current: blur(trace.current, noise.amperes, step.amperes),
    };
  };

/** Noise of a trace from its second differences, which have sqrt(6) times as much (a median of absolute values, for normal noise). */
const noiseOf = (values: Float64Array): number =>
  (1.4826 *
    median(values.subarray(2).map((one, i) => Math.abs(one - 2 * (values[i + 1] as number) + (values[i] as number))))) /
  Math.sqrt(6);

/** New noise of so many times the log's own, in both channels. */
export const noisier =
  (factor: number): Alteration =>
  (trace, seed) => {
    const random = createRandom(1 + seed);
    const more = (values: Float64Array) => {
      const deviation = factor * noiseOf(values);
      return values.map((one) => one + deviation * random.gaussian());
    };
    return { ...trace, voltage: more(trace.voltage), current: more(trace.current) };
  };

/** Every instant later by a factor. */
export const stretched =
  (factor: number): Alteration =>
  (trace) => ({ ...trace, time: trace.time.map((t) => t * factor) });

/** Means over `seconds` around each instant, and then new noise of so many times the log's own. */
export const smoothedAnew =
  (seconds: number, factor: number): Alteration =>
  (trace, seed) => {
    const random = createRandom(1 + seed);
    const anew = (values: Float64Array) => {
      const deviation = factor * noiseOf(values);
      return trace.time.map(
        (t) => mean(trace.time, values, t - seconds / 2, t + seconds / 2) + deviation * random.gaussian(),
      );
    };
    return { ...trace, voltage: anew(trace.voltage), current: anew(trace.current) };
  };

/** One after the other. */
export const together =
  (...alterations: readonly Alteration[]): Alteration =>
  (trace, seed) =>
    alterations.reduce((changed, alteration, i) => alteration(changed, seed + i), trace);

const SLIGHT_BLUR = blurred({ volts: 0.001, amperes: 0.03 }, { volts: 0.002, amperes: 0.05 });

/** Single alterations and some together, by name. */
export const ALTERATIONS: Readonly<Record<string, Alteration>> = {
  "nothing but another file": (trace) => trace,
  "in mV and mA": scaled(1000, 1000),
  "the first third cut off": trimmed(1 / 3, 1),
  "the last third cut off": trimmed(0, 2 / 3),
  "only the middle half": trimmed(0.25, 0.75),
  "shifted in time": shifted(-3.271),
  "volts up by 3 %": scaled(1.03, 1),
  "amperes down by 4 %": scaled(1, 0.96),
  "volts and amperes up by 2 %": scaled(1.02, 1.02),
  "interpolated at 7 Hz": interpolated(7),
  "interpolated at 25 Hz": interpolated(25),
  "averaged to 5 Hz": averaged(5),
  "every second sample": decimate(2),
  "noise and fewer digits": SLIGHT_BLUR,
  "digits of 10 mV and 0.1 A": blurred({ volts: 0, amperes: 0 }, { volts: 0.01, amperes: 0.1 }),
  "trimmed, shifted, scaled": together(trimmed(0.2, 0.9), shifted(12.34), scaled(0.97, 1.03)),
  "trimmed, interpolated at 8 Hz, scaled": together(trimmed(0.1, 0.8), interpolated(8), scaled(1.025, 0.98)),
  "scaled, shifted, with noise": together(scaled(1.04, 0.97), shifted(5.55), SLIGHT_BLUR),
  "every second sample, trimmed, scaled, with noise": together(
    decimate(2),
    trimmed(0.1, 0.9),
    scaled(0.98, 1.02),
    SLIGHT_BLUR,
  ),
  "interpolated at 20 Hz, trimmed, with noise": together(interpolated(20), trimmed(0.15, 0.85), SLIGHT_BLUR),
};

/** What is done to hide a copy whose load moved by itself, by name. */
export const DISGUISES: Readonly<Record<string, Alteration>> = {
  "noise x 1": noisier(1),
  "noise x 2": noisier(2),
  "noise x 3": noisier(3),
  "1.5 % longer": stretched(1.015),
  "1.5 % shorter": stretched(0.985),
  "3 % longer": stretched(1.03),
  "3 % shorter": stretched(0.97),
  "smoothed over 1 s, new noise": smoothedAnew(1, 1),
  "3 % longer, noise x 2": together(stretched(1.03), noisier(2)),
  "1.5 % shorter, noise x 3": together(stretched(0.985), noisier(3)),
  "cut, 1.5 % longer, scaled, at 8 Hz, noise x 1": together(
    trimmed(0.1, 0.9),
    stretched(1.015),
    scaled(1.02, 0.98),
    interpolated(8),
    noisier(1),
  ),
};
