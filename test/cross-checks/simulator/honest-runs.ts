import type { Chemistry } from "../../../src/core/model.js";
import { EXACT_BENCH, type SimulatedBench } from "./bench.js";
import { constantCurrent, type LoadLaw } from "./load.js";
import { drawPack, type Population } from "./populations.js";
import { randomOf } from "./random.js";
import { type SimulatedLog, simulateLog } from "./simulate-log.js";

/** Which honest run is meant. */
export interface HonestRun {
  readonly population: Population;
  readonly chemistry: Chemistry;
  readonly name: string;
}

/** The current of each row is that of part of a sample earlier: one converter reads both channels in turn, or a filter delays one. */
export const laggingCurrent = (bench: SimulatedBench, shareOfSample: number): SimulatedBench => ({
  ...bench,
  currentLagSeconds: shareOfSample / bench.rateHz,
});

/** A logger called 5 Hz whose own clock makes it 4.94 Hz. */
export const slowFiveHertz = (bench: SimulatedBench): SimulatedBench => ({ ...bench, rateHz: 4.94, jitterShare: 0 });

/** A sensor that was zeroed before the run: no offset is left, whatever is stated of it, and its rest reads exactly 0. */
export const zeroedAtRest = (bench: SimulatedBench): SimulatedBench => ({
  ...bench,
  restReadsZero: true,
  current: { ...bench.current, offset: 0 },
});

/** The cutoffs of a capacity test, V per cell. Common practice, no published source. */
const CAPACITY_CUTOFF: Readonly<Record<Chemistry, number>> = { lipo: 3, lihv: 3, liion: 2.75, lifepo4: 2.5 };
const CAPACITY_RATE_IT = 0.2;
/** What a bench may state for a capacity test at most: 1 % + 0.1 A. */
const CAPACITY_ACCURACY = { percent: 1, offset: 0.1 };

/**
 * A capacity test at 0.2 It for some five hours. The offset of its current sensor is anywhere within what the bench states, which for a
 * small pack is far more than 2 % of the load.
 */
export function capacityRun({ population, chemistry, name }: HonestRun): SimulatedLog {
  const seed = `capacity ${population} ${chemistry} ${name}`;
  const random = randomOf(seed);
  const pack = drawPack(population, chemistry, seed);
  const amperes = (CAPACITY_RATE_IT * pack.facts.ratedCapacityMah) / 1000;
  const offset = random.between(-CAPACITY_ACCURACY.offset, CAPACITY_ACCURACY.offset);
  return simulateLog({
    pack,
    load: constantCurrent(amperes),
    bench: {
      ...EXACT_BENCH,
      stated: {
        voltage: { percent: 0.1, offset: 0.0005 * 3.7 * pack.facts.series },
        current: CAPACITY_ACCURACY,
        temperature: { offset: 1 },
        sense: { point: "pack" },
      },
      rateHz: random.logBetween(0.25, 1),
      voltage: { gain: random.between(-0.001, 0.001), offset: 0, noise: 0.0003, step: 0.001 },
      current: { gain: random.between(-0.01, 0.01), offset, noise: 0.003, step: 0.001 },
      temperature: { gain: 0, offset: random.between(-1, 1), noise: 0.05, step: 0.1 },
      restSeconds: 60,
      belowCutoffVolts: 0.02,
      afterSeconds: 60,
    },
    seed,
    ambientC: random.between(17, 23),
    cutoffVoltsPerCell: CAPACITY_CUTOFF[chemistry],
    conditions: { restMinutes: 90 },
    stepScale: 10,
  });
}

/** A run of two pulses and the resistance at their ends, (U1 - U2) / (I2 - I1), mohm. */
export interface TwoPulseRun {
  readonly run: SimulatedLog;
  readonly secondPulseSeconds: number;
  readonly milliohm: number;
}

const FIRST_PULSE_SECONDS = 10;
const MEASURED_AFTER_SECONDS = 1;

/** 0.2 It for 10 s, then 1 It for a little more than 1 s, logged at 10 to 12 Hz on a bench without error but for its noise. */
export function twoPulseRun({ population, chemistry, name }: HonestRun): TwoPulseRun {
  const seed = `two-pulse ${population} ${chemistry} ${name}`;
  const random = randomOf(seed);
  const pack = drawPack(population, chemistry, seed);
  const it = pack.facts.ratedCapacityMah / 1000;
  const secondPulseSeconds = random.between(1.04, 1.09);
  const load: LoadLaw = {
    ...constantCurrent(it),
    amperes: (_, seconds) => (seconds <= FIRST_PULSE_SECONDS + 1e-9 ? 0.2 * it : it),
  };
  const end = FIRST_PULSE_SECONDS + secondPulseSeconds;
  const run = simulateLog({
    pack: { ...pack, missingShare: random.between(0.4, 0.6) },
    load,
    bench: {
      ...EXACT_BENCH,
      stated: {
        voltage: { percent: 0.05, offset: 0.004 },
        current: { percent: 0.5, offset: 0.02 },
        temperature: null,
        sense: { point: "pack" },
      },
      rateHz: random.between(10.05, 12),
      voltage: { gain: 0, offset: 0, noise: 0.0002, step: 0 },
      current: { gain: 0, offset: 0, noise: 0.001, step: 0 },
      temperature: null,
      rampSeconds: 0.01,
    },
    seed,
    ambientC: random.between(17, 23),
    conditions: { restMinutes: 90, stateOfChargePercent: 50 },
    endsLoad: (seconds) => seconds >= end - 1e-9,
    stepScale: 0.25,
  });
  const { time, voltage, current } = run.course;
  const at = (seconds: number) => time.findLastIndex((t) => t <= seconds + 1e-9);
  const [first, second] = [at(FIRST_PULSE_SECONDS), at(FIRST_PULSE_SECONDS + MEASURED_AFTER_SECONDS)];
  const drop = (voltage[first] as number) - (voltage[second] as number);
  const rise = (current[second] as number) - (current[first] as number);
  return { run, secondPulseSeconds, milliohm: (1000 * drop) / rise };
}
