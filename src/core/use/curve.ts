import type { Demand } from "./demand.js";
import type { PackModel } from "./model/pack-model.js";
import type { Passes } from "./passes.js";
import { instants, temperatureUncertainty, voltageUncertainty } from "./verdict.js";

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
  const { expected, moved } = passes;
  const ends = instants(demand);
  const drawn = chargesOf(expected.current, demand, size);
  const movedDrawn = moved.map(({ current, size: own }) => chargesOf(current, demand, Math.min(own, size)));
  const spread = (value: number, others: readonly (number | undefined)[]) =>
    Math.sqrt(others.reduce<number>((sum, other) => sum + (other === undefined ? 0 : (other - value) ** 2), 0));
  const of = (channel: "current", i: number) =>
    moved.map((pass) => (i < pass.size ? (pass[channel][i] as number) : undefined));
  return chosen(demand, size, points).map((i) => {
    const [volts, amps] = [expected.voltage[i] as number, expected.current[i] as number];
    const powers = moved.map((pass) =>
      i < pass.size ? series * (pass.voltage[i] as number) * (pass.current[i] as number) : undefined,
    );
    return {
      timeS: (ends[i] as number) - (demand.seconds[i] as number) / 2,
      voltageV: series * volts,
      voltageUncertainty: series * voltageUncertainty(passes, i),
      currentA: amps,
      currentUncertainty: spread(amps, of("current", i)),
      powerW: series * volts * amps,
      powerUncertainty: spread(series * volts * amps, powers),
      temperatureC: range.maxC === null ? null : (expected.temperature[i] as number),
      temperatureUncertainty: range.maxC === null ? null : temperatureUncertainty(passes, i),
      chargeMah: (drawn[i] as number) / 3.6,
      chargeUncertainty:
        spread(
          drawn[i] as number,
          movedDrawn.map((one) => one[i]),
        ) / 3.6,
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
