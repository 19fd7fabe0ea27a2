import type { PackFacts } from "../../../src/core/model.js";
import type { OpenCircuitCurve } from "./open-circuit.js";

/** How a resistance changes with the share of charge drawn: 1 somewhere near the middle. */
export type Shape = (drawnShare: number) => number;

/** A resistance in parallel with a capacitance: its voltage follows the current with a time constant. */
export interface Relaxation {
  readonly ohm: number;
  readonly seconds: number;
}

/** What is left of charging: a voltage that fades with the charge drawn and with time. */
export interface SurfaceCharge {
  readonly volts: number;
  /** Share of the cell's charge over which it falls to 1/e. */
  readonly chargeShare: number;
  /** Infinity: it does not fade with time. */
  readonly seconds: number;
}

/** Charge transfer: volts x asinh(I / (2 amperes)), both at 25 degC, the first in proportion to the absolute temperature. */
export interface ChargeTransfer {
  readonly volts: number;
  readonly amperes: number;
}

/** A voltage that stands above the open-circuit curve after charging and below it after discharging, and turns over a share of charge. */
export interface Hysteresis {
  readonly volts: number;
  readonly chargeShare: number;
}

/** Heat of one cell. The probe reads the surface; without one, the core. */
export interface Heat {
  readonly coreJoulePerKelvin: number;
  readonly surface: { readonly joulePerKelvin: number; readonly wattPerKelvinFromCore: number } | null;
  readonly wattPerKelvinToAir: number;
}

/** Slopes B of resistances that change with temperature as exp(B (1/T - 1/298.15 K)), K. */
export interface ArrheniusSlopes {
  readonly ohmic: number;
  readonly relaxation: number;
  readonly transfer: number;
}

/** One cell (all strings in parallel together), resistances at 25 degC. */
export interface CellModel {
  readonly chargeCoulomb: number;
  readonly openCircuitVolts: OpenCircuitCurve;
  readonly seriesOhm: number;
  readonly seriesShape: Shape;
  readonly relaxations: readonly Relaxation[];
  readonly relaxationShape: Shape;
  readonly transfer: ChargeTransfer | null;
  readonly transferShape: Shape;
  readonly surfaceCharge: SurfaceCharge;
  readonly hysteresis: Hysteresis | null;
  readonly arrhenius: ArrheniusSlopes;
  readonly heat: Heat;
}

/** A pack of equal cells as it stands before a run, and its label. */
export interface SimulatedPack {
  readonly facts: PackFacts;
  readonly cell: CellModel;
  /** Share of the charge that is missing when the pack is called full. */
  readonly missingShare: number;
  /** The standard load, A, that suits the pack: its range of currents lies about it. */
  readonly suitedLoadA: number;
}
