import type { BenchFacts, Sense } from "../../src/core/model.js";
import type { Discharge } from "./discharge.js";
import type { Random } from "./random.js";

const { floor, min, round } = Math;

/** The errors that one set of instruments keeps from run to run. */
export interface InstrumentErrors {
  /** Relative. */
  readonly voltageGain: number;
  readonly voltageOffsetV: number;
  readonly currentGain: number;
  readonly temperatureOffsetK: number;
}

/** A bench: what its owner states about it, how it logs, and what its instruments really do. */
export interface BenchModel {
  readonly facts: BenchFacts;
  readonly rateHz: number;
  /** Largest departure of a sample's instant from the even grid, as a share of the interval. */
  readonly jitterShare: number;
  readonly noise: { readonly volts: number; readonly amperes: number; readonly kelvin: number };
  /** Steps of the digits in the log. */
  readonly resolution: { readonly volts: number; readonly amperes: number; readonly kelvin: number };
  readonly errors: InstrumentErrors;
}

/** What a logger wrote down. Time runs from the start of the log. */
export interface BenchLog {
  readonly timeSeconds: readonly number[];
  readonly voltage: readonly number[];
  readonly current: readonly number[];
  readonly temperature: readonly number[] | null;
  /** Voltage of each cell, a list for each sample; null when the bench has no balance lead connected. */
  readonly cells: readonly (readonly number[])[] | null;
}

export interface Measurement {
  /** Reading of the current sensor at no current, A. */
  readonly currentZeroA: number;
  /** Share by which each cell departs from the mean cell; empty when cells are not logged. */
  readonly cellImbalance: readonly number[];
}

/** Errors within `share` of the stated accuracy, uniformly. */
export function drawInstrumentErrors(facts: BenchFacts, share: number, random: Random): InstrumentErrors {
  const within = (limit: number) => random.between(-limit * share, limit * share);
  return {
    voltageGain: within(facts.voltage.percent / 100),
    voltageOffsetV: within(facts.voltage.offset),
    currentGain: within(facts.current.percent / 100),
    temperatureOffsetK: within(facts.temperature?.offset ?? 0),
  };
}

/**
 * Resistance of a pair of leads, ohm: declared, else annealed copper at 20 degC (1/58 ohm mm2/m, IEC 60028)
 * with the diameters of ASTM B258 (0.005 inch at gauge 36, 92 times that at gauge 0000; from memory).
 */
export function leadOhm(sense: Sense): number {
  if (sense.point === "pack") return 0;
  if (typeof sense.resistanceMilliohm === "number") return sense.resistanceMilliohm / 1000;
  if (typeof sense.gaugeAwg !== "number" || typeof sense.lengthMm !== "number") {
    throw new RangeError("A lead needs a resistance, or a gauge and a length");
  }
  const diameterMm = 0.127 * 92 ** ((36 - sense.gaugeAwg) / 39);
  const areaMm2 = (Math.PI * diameterMm ** 2) / 4;
  return (2 * sense.lengthMm) / 1000 / 58 / areaMm2;
}

/** Samples a discharge as the bench would log it. */
export function measure(run: Discharge, bench: BenchModel, measurement: Measurement, random: Random): BenchLog {
  const startSeconds = run.time[0] as number;
  const endSeconds = run.time[run.time.length - 1] as number;
  const interval = 1 / bench.rateHz;
  const ohm = leadOhm(bench.facts.sense);
  const { noise, resolution, errors } = bench;
  const read = (trueValue: number, noiseLevel: number, step: number) =>
    round((trueValue + noiseLevel * random.gaussian()) / step) * step;

  const time: number[] = [];
  const voltage: number[] = [];
  const current: number[] = [];
  const temperature: number[] = [];
  const cells: number[][] = [];
  for (let index = 1; ; index += 1) {
    const elapsed = (index + random.between(-bench.jitterShare, bench.jitterShare)) * interval;
    if (startSeconds + elapsed > endSeconds) break;
    const position = elapsed / run.stepSeconds;
    const amperes = between(run.current, position);
    const volts = between(run.voltage, position) - amperes * ohm;
    const sensed = volts * (1 + errors.voltageGain) + errors.voltageOffsetV;
    time.push(elapsed);
    voltage.push(read(sensed, noise.volts, resolution.volts));
    current.push(
      read(amperes * (1 + errors.currentGain) + measurement.currentZeroA, noise.amperes, resolution.amperes),
    );
    temperature.push(
      read(between(run.temperature, position) + errors.temperatureOffsetK, noise.kelvin, resolution.kelvin),
    );
    cells.push(
      measurement.cellImbalance.map((share) =>
        read((sensed / measurement.cellImbalance.length) * (1 + share), noise.volts, resolution.volts),
      ),
    );
  }
  return {
    timeSeconds: time,
    voltage,
    current,
    temperature: bench.facts.temperature === null ? null : temperature,
    cells: measurement.cellImbalance.length === 0 ? null : cells,
  };
}

function between(channel: Float64Array, position: number): number {
  const index = min(floor(position), channel.length - 2);
  const low = channel[index] as number;
  return low + (position - index) * ((channel[index + 1] as number) - low);
}
