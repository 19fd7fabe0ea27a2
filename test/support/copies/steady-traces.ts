import { createRandom } from "../../../seed/simulator/random.js";
import type { Trace } from "../../../src/core/model.js";
import { valueAt } from "../../../src/core/trace/series.js";

/** A run at a constant current, as a logger writes it. */
interface SteadyRun {
  readonly seed: number;
  readonly amperes: number;
  readonly seconds: number;
  readonly rateHz: number;
  /** Standard deviations of the instruments' noise, and the last digits that are written. */
  readonly noise: { readonly volts: number; readonly amperes: number };
  readonly digits: { readonly volts: number; readonly amperes: number };
}

const round = (value: number, digit: number): number => Math.round(value / digit) * digit;

/** Rests for 2 s, then falls from 16.4 V to 13 V with a knee at the end. */
export function steadyTrace({ seed, amperes, seconds, rateHz, noise, digits }: SteadyRun): Trace {
  const random = createRandom(seed);
  const length = Math.round((seconds + 2) * rateHz);
  const time = Float64Array.from({ length }, (_, i) => i / rateHz - 2 + 0.3 / rateHz);
  const share = (t: number) => Math.max(0, t) / seconds;
  const volts = (t: number) => (t < 0 ? 16.8 : 16.4 - 2.2 * share(t) - 1.2 * share(t) ** 12);
  const read = (value: number, deviation: number, digit: number) => round(value + deviation * random.gaussian(), digit);
  return {
    time,
    voltage: time.map((t) => read(volts(t), noise.volts, digits.volts)),
    current: time.map((t) => read(t < 0 ? 0 : amperes, noise.amperes, digits.amperes)),
    temperature: null,
  };
}

/** A rated-capacity run of five hours at 1 A by a bench meter. */
export const slowTrace = (seed: number, rateHz: number): Trace =>
  steadyTrace({
    seed,
    amperes: 1,
    seconds: 18_000,
    rateHz,
    noise: { volts: 0.0015, amperes: 0.003 },
    digits: { volts: 0.001, amperes: 0.001 },
  });

/** What two loggers write of one discharge, each at its own rate, with noise and a clock of its own. */
export function loggedTwice(truth: Trace, seed: number, noise: SteadyRun["noise"]): [Trace, Trace] {
  const logged = (rateHz: number, offsetS: number, random: ReturnType<typeof createRandom>): Trace => {
    const length = Math.floor(((truth.time.at(-1) as number) - (truth.time[0] as number) - 1) * rateHz);
    const instants = Float64Array.from({ length }, (_, i) => (truth.time[0] as number) + 0.5 + i / rateHz);
    const read = (values: Float64Array, deviation: number) =>
      instants.map((t) => valueAt(truth.time, values, t) + deviation * random.gaussian());
    return {
      time: instants.map((t) => t + offsetS),
      voltage: read(truth.voltage, noise.volts),
      current: read(truth.current, noise.amperes),
      temperature: null,
    };
  };
  return [logged(10, 0, createRandom(seed)), logged(8, 3.7, createRandom(seed + 1))];
}
