import { EXACT_BENCH, type SimulatedBench } from "./bench.js";
import type { Random } from "./random.js";

/** How the errors of instruments are distributed: both have the standard uncertainty that the stated accuracy means. */
export const DISTRIBUTIONS = ["normal", "rectangular"] as const;
export type Distribution = (typeof DISTRIBUTIONS)[number];

/** A bench that errs, for a pack of `volts` and a load of about `amperes`, both at the start of the run. */
export interface ExpectedReadings {
  readonly volts: number;
  readonly amperes: number;
}

/**
 * An honest bench of a hobby: gains and offsets as far off as its stated accuracy says, noise, steps, 5 to 50 Hz, a clock that is
 * off by 0.1 %, a rest of 2 to 6 s before the load, and a recovery that is logged or not.
 */
export function drawNoisyBench(
  { volts, amperes }: ExpectedReadings,
  errors: Distribution,
  random: Random,
): SimulatedBench {
  const error = (halfWidth: number) =>
    errors === "normal" ? (halfWidth / Math.sqrt(3)) * random.normal() : random.between(-halfWidth, halfWidth);
  const stated = {
    voltage: { percent: random.logBetween(0.05, 0.4), offset: volts * random.logBetween(0.0002, 0.002) },
    current: { percent: random.logBetween(0.2, 1.5), offset: amperes * random.logBetween(0.001, 0.01) },
    temperature: { offset: random.between(0.5, 2) },
    sense: { point: "pack" as const },
  };
  return {
    stated,
    rateHz: random.logBetween(5.1, 50),
    jitterShare: random.between(0, 0.25),
    clockError: error(0.001),
    voltage: {
      gain: error(stated.voltage.percent / 100),
      offset: error(stated.voltage.offset),
      noise: volts * random.logBetween(0.00003, 0.0004),
      step: random.pick([0.001, 0.002, 0.005]),
    },
    current: {
      gain: error(stated.current.percent / 100),
      offset: error(stated.current.offset),
      noise: amperes * random.logBetween(0.0003, 0.004),
      step: random.pick([0.01, 0.02, 0.05]),
    },
    temperature: { gain: 0, offset: error(stated.temperature.offset), noise: random.between(0.03, 0.12), step: 0.1 },
    currentLagSeconds: 0,
    restReadsZero: false,
    restSeconds: random.between(2, 6),
    rampSeconds: random.logBetween(0.03, 0.9),
    belowCutoffVolts: random.between(0.02, 0.06),
    afterSeconds: random.uniform() < 0.65 ? random.between(5.6, 8) : random.between(1, 2),
  };
}

/** A bench without error whose rate, rise, depth of discharge and recovery are drawn. */
export function drawExactBench(random: Random): SimulatedBench {
  return {
    ...EXACT_BENCH,
    rampSeconds: random.logBetween(0.02, 0.6),
    belowCutoffVolts: random.between(0.01, 0.06),
    afterSeconds: random.uniform() < 0.65 ? 6 : 1,
  };
}
