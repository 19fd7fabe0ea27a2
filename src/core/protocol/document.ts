import type { Chemistry, Severity } from "../model.js";

/** Volts per cell of one chemistry. */
export interface CellVolts {
  readonly nominal: number;
  readonly full: number;
  /** Open-circuit voltage of a full cell once its surface charge is gone; `full` where there is next to none. */
  readonly settled: number;
  /** Cutoff under load; null in a protocol whose runs do not go on to a cutoff. */
  readonly cutoff: number | null;
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

/** Which standard loads a run is translated to: bounds of the current there over the run's own, at 10 s. */
export interface TranslationReach {
  readonly lowestRatio: number;
  readonly highestRatio: number;
}

/** One step of a load: a current as a multiple of It, and how long it is held. */
export interface Pulse {
  readonly rateIt: number;
  readonly seconds: number;
}

/** How alike the steps of one ladder must be. */
export interface LadderLimits {
  /** Largest range of the packs' temperatures at onset, and of the surroundings', K. */
  readonly startTemperatureRangeK: number;
  readonly ambientRangeK: number;
  /** Longest time between the first and the last step, and most cycles that the specimen aged meanwhile. */
  readonly days: number;
  readonly cycles: number;
}

/**
 * What is asked of the load.
 * - full: as much as the tester chooses, to the cutoff; translated to the standard loads within reach
 * - set-current: constant, as the tester declares it (`setpointA`), to the cutoff or the temperature limit
 * - rate: constant, a given multiple of It, to the cutoff
 * - two-pulse: one current, then at once a larger one
 */
export type LoadDefinition =
  | { readonly kind: "full"; readonly translation: TranslationReach }
  | { readonly kind: "set-current"; readonly ladder: LadderLimits }
  | { readonly kind: "rate"; readonly rateIt: number }
  | { readonly kind: "two-pulse"; readonly first: Pulse; readonly second: Pulse };

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
  readonly load: LoadDefinition;
  readonly temperatureLimitC: number;
  /** Keys of the figures that its runs give. */
  readonly figures: readonly string[];
  readonly rules: readonly RuleSetting[];
  readonly ranked: readonly RankedFigure[];
}
