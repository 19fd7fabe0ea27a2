import type { Chemistry } from "../../src/core/model.js";
import { openCircuitVolts } from "./chemistry.js";

/** A resistor and a capacitor in parallel, in series with the pack. */
interface RelaxationBranch {
  readonly ohm: number;
  readonly farad: number;
}

/** The electrical and thermal equivalent of a whole pack at its terminals. */
export interface PackModel {
  /** V of the resting pack after `chargeDrawnC` coulombs. */
  openCircuitVolts(chargeDrawnC: number): number;
  /** Series resistance at 25 degC. */
  readonly seriesOhm: number;
  /** Share by which all resistances fall per kelvin: R(T) = R exp(-share (T - 25)). */
  readonly resistanceFallPerKelvin: number;
  readonly branches: readonly RelaxationBranch[];
  readonly heatCapacityJPerK: number;
  readonly heatLossWPerK: number;
}

export interface CellPackSpec {
  readonly chemistry: Chemistry;
  readonly series: number;
  /** Charge between full and empty, Ah; slightly above what a load can draw. */
  readonly trueCapacityAh: number;
  /** Series resistance of one cell times its capacity, mohm Ah: small is good, whatever the size. */
  readonly resistanceMilliohmAh: number;
  readonly massGrams: number;
}

const FAST_BRANCH = { share: 0.2, seconds: 2 };
const SLOW_BRANCH = { share: 0.5, seconds: 30 };
const RESISTANCE_FALL_PER_KELVIN = 0.006;
const HEAT_CAPACITY_J_PER_KG_K = 1000;
/** Still air around a pack: the time constant of its cooling. */
const COOLING_SECONDS = 1100;

/** A pack of equal cells with a fast and a slow relaxation. */
export function createPackModel(spec: CellPackSpec): PackModel {
  const seriesOhm = (spec.series * spec.resistanceMilliohmAh) / 1000 / spec.trueCapacityAh;
  const fullC = spec.trueCapacityAh * 3600;
  const heatCapacityJPerK = (spec.massGrams / 1000) * HEAT_CAPACITY_J_PER_KG_K;
  return {
    openCircuitVolts: (chargeDrawnC) => spec.series * openCircuitVolts(spec.chemistry, 1 - chargeDrawnC / fullC),
    seriesOhm,
    resistanceFallPerKelvin: RESISTANCE_FALL_PER_KELVIN,
    branches: [FAST_BRANCH, SLOW_BRANCH].map(({ share, seconds }) => ({
      ohm: seriesOhm * share,
      farad: seconds / (seriesOhm * share),
    })),
    heatCapacityJPerK,
    heatLossWPerK: heatCapacityJPerK / COOLING_SECONDS,
  };
}
