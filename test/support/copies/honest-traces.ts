import { createRandom, type Random } from "../../../seed/simulator/random.js";
import type { Trace } from "../../../src/core/model.js";

/** One run among many: which pack, which of its specimens, which of that one's runs. */
export interface HonestRun {
  readonly pack: number;
  readonly specimen: number;
  readonly run: number;
}

const RESTING_S = 2;
const AFTER_S = 1;

/** A stream of numbers of its own for each bench, specimen and run. */
const stream = (family: number, ...indices: readonly number[]): Random =>
  createRandom(1 + indices.reduce((seed, index) => (seed * 10_007 + index) % 1_999_999_973, family));

/**
 * The trace of a throttle run of about 70 to 110 s as a bench logs it: a falling source behind a resistance with one slow
 * relaxation, a load that ripples by itself, instruments that err by noise and digits. Specimens of a pack differ by about
 * 1 % in charge and 2 % in resistance, runs of a specimen in their start and noise alone.
 */
export function honestTrace({ pack, specimen, run }: HonestRun): Trace {
  const design = stream(1, pack);
  const volts = 3.7 * Math.round(design.between(2, 7));
  const ampereHours = design.between(1.3, 6);
  const build = stream(2, pack, specimen);
  const coulombs = ampereHours * 3600 * (1 + 0.01 * build.gaussian());
  const loadOhm = (volts / (20 * ampereHours)) * design.between(0.9, 1.3);
  const packOhm = 0.08 * loadOhm * design.between(0.6, 1.6) * (1 + 0.02 * build.gaussian());
  const bench = stream(3, specimen);
  const rateHz = [10, 10, 10, 20, 5][Math.floor(bench.between(0, 5))] as number;
  const noise = {
    volts: bench.between(0.002, 0.006),
    amperes: bench.between(0.05, 0.3),
    ripple: bench.between(0, 0.002),
  };
  const random = stream(4, pack, specimen, run);
  const startC = random.between(0, 0.01) * coulombs;
  const seconds = random.between(70, 110);
  const samples = Math.round((RESTING_S + seconds + AFTER_S) * rateHz);
  const time = new Float64Array(samples);
  const voltage = new Float64Array(samples);
  const current = new Float64Array(samples);
  let [drawn, slowVolts, ripple] = [startC, 0, 0];
  const onsetS = RESTING_S + random.between(0, 1 / rateHz);
  for (let i = 0; i < samples; i++) {
    const t = i / rateHz + random.between(-0.01, 0.01) / rateHz;
    const isLoaded = t >= onsetS && t < onsetS + seconds;
    ripple = 0.8 * ripple + 0.6 * noise.ripple * random.gaussian();
    const source = volts * (1.135 - 0.13 * (drawn / coulombs) - 0.06 * (drawn / coulombs) ** 6) - slowVolts;
    const amperes = isLoaded ? source / (packOhm + loadOhm * (1 + ripple)) : 0;
    drawn += amperes / rateHz;
    slowVolts += (amperes * 0.5 * packOhm - slowVolts) / (20 * rateHz);
    time[i] = t - onsetS;
    voltage[i] = digits(source - amperes * packOhm + noise.volts * random.gaussian(), 0.001);
    current[i] = digits(amperes + noise.amperes * random.gaussian(), 0.01);
  }
  return { time, voltage, current, temperature: null };
}

const digits = (value: number, step: number): number => Math.round(value / step) * step;
