import type { Chemistry, Severity } from "../model.js";

/** Volts per cell of one chemistry. */
export interface CellVolts {
  readonly nominal: number;
  readonly full: number;
  /** Open-circuit voltage of a full cell once its surface charge is gone; `full` where there is next to none. */
  readonly settled: number;
  /** Cutoff under load. */
  readonly cutoff: number;
  /** Nothing below or above these is a healthy cell of this chemistry. */
  readonly lowest: number;
  readonly highest: number;
}

/** One conformance rule as a protocol sets it: which rule, how strict, and its limit as named numbers. */
export interface RuleSetting {
  readonly rule: string;
  readonly severity: Severity;
  readonly limit: Readonly<Record<string, number>>;
  readonly unit: string;
  /** A required rule that is not assessable does not pass, unless it holds only where the channel was logged. */
  readonly onlyWhenLogged?: boolean;
}

/** A figure that packs are ranked by. */
export interface RankedFigure {
  readonly figure: string;
  readonly basis: "own" | "translated";
  readonly better: "higher" | "lower";
}

/** An immutable, versioned definition of a test. Everything that a limit may be argued about is data here. */
export interface ProtocolDocument {
  readonly key: string;
  readonly version: number;
  readonly title: string;
  readonly summary: string;
  readonly procedure: readonly string[];
  readonly cautions: readonly string[];
  /** Where the limits come from. */
  readonly sources: readonly string[];
  readonly cells: Readonly<Record<Chemistry, CellVolts>>;
  /** The load that runs are translated to: a resistance of V_nom / (rateIt x It), and how far from it a run may be. */
  readonly referenceLoad: { readonly rateIt: number; readonly lowestRatio: number; readonly highestRatio: number };
  /** Share of the rated capacity over which the surface charge of a full pack fades to 1/e. */
  readonly surfaceChargeShare: number;
  readonly temperatureLimitC: number;
  readonly rules: readonly RuleSetting[];
  readonly ranked: readonly RankedFigure[];
}
