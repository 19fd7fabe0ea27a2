import { square } from "../numerics/square.js";
import { type Demand, instants } from "./demand.js";
import type { PackModel } from "./model/pack-model.js";
import type { Passes } from "./perturbed-passes.js";
import type { Pass } from "./simulate-use.js";
import { deviationAt, temperatureUncertainty, voltageUncertainty } from "./verdict.js";

/** The pack at the middle of a stretch of its use, with standard uncertainties. */
export interface CurvePoint {
  readonly timeS: number;
  readonly voltageV: number;
  readonly voltageUncertainty: number;
  readonly currentA: number;
  readonly currentUncertainty: number;
  readonly powerW: number;
  readonly powerUncertainty: number;
  /** Of the skin; null where no run has a probe. */
  readonly temperatureC: number | null;
  readonly temperatureUncertainty: number | null;
  readonly chargeMah: number;
  readonly chargeUncertainty: number;
}

/** At most about `points` of the stretches before `size`: those before and after each change of load where they are few, else even ones. */
export function curveOf(
  passes: Passes,
  demand: Demand,
  { series, range }: PackModel,
  size: number,
  points: number,
): CurvePoint[] {
  const { expected, perturbed } = passes;
  const ends = instants(demand);
  /** A quantity along the expected pass, and its standard uncertainty at a stretch. */
  const spreadOf = (quantity: (pass: Pass, till: number) => Float64Array) => {
    const values = quantity(expected, size);
    const others = perturbed.map((pass) => ({ size: pass.size, values: quantity(pass, Math.min(pass.size, size)) }));
    return {
      values,
      at: (i: number) =>
        Math.sqrt(
          others.reduce((sum, one) => sum + square(deviationAt(values, one.values, Math.min(one.size, size), i)), 0),
        ),
    };
  };
  const drawn = spreadOf(({ current }, till) => chargesOf(current, demand, till));
  const currents = spreadOf(({ current }) => current);
  const powers = spreadOf(({ voltage, current }) => voltage.map((volts, i) => series * volts * (current[i] as number)));
  return chosen(demand, size, points).map((i) => {
    const [volts, amps] = [expected.voltage[i] as number, expected.current[i] as number];
    return {
      timeS: (ends[i] as number) - (demand.seconds[i] as number) / 2,
      voltageV: series * volts,
      voltageUncertainty: series * voltageUncertainty(passes, i),
      currentA: amps,
      currentUncertainty: currents.at(i),
      powerW: powers.values[i] as number,
      powerUncertainty: powers.at(i),
      temperatureC: range.maxC === null ? null : (expected.temperature[i] as number),
      temperatureUncertainty: range.maxC === null ? null : temperatureUncertainty(passes, i),
      chargeMah: (drawn.values[i] as number) / 3.6,
      chargeUncertainty: drawn.at(i) / 3.6,
    };
  });
}

/** Charge drawn by the middle of each stretch, As. */
function chargesOf(current: Float64Array, { seconds }: Demand, size: number): Float64Array {
  let charge = 0;
  return Float64Array.from({ length: size }, (_, i) => {
    const drawn = (current[i] as number) * (seconds[i] as number);
    charge += drawn;
    return charge - drawn / 2;
  });
}

function chosen({ first }: Demand, size: number, points: number): number[] {
  const stride = Math.max(1, size / points);
  const changes: number[] = [];
  for (let i = 0; i < size; i++) if (first[i] === 1 || first[i + 1] === 1 || i === size - 1) changes.push(i);
  const even = Array.from({ length: Math.floor(size / stride) }, (_, n) => Math.floor(n * stride));
  const all = changes.length <= points ? [...changes, ...even] : [...even, size - 1];
  return [...new Set(all)].filter((i) => i >= 0 && i < size).sort((a, b) => a - b);
}
