import type { Chemistry } from "../../model.js";
import type { CellHeat } from "./run-heat.js";

/** Version of how models are fitted and used: a stored model of another version is fitted anew. test/predictions/golden holds the numbers of each. */
export const USE_MODEL_VERSION = 7;

/** Even intervals of the tables over a pack's charge. */
export const TABLE_INTERVALS = 256;

export const GRADES = ["provisional", "established"] as const;
export type Grade = (typeof GRADES)[number];

/** A change of a logarithm with a covariate; null where the runs do not span it. */
export interface CovariateSlope {
  readonly value: number;
  readonly uncertainty: number;
}

/** A way in which the fit may be off by one standard uncertainty: additions at the knots of the fit. */
export interface ModelDirection {
  /** V at `sourceKnots`. */
  readonly sourceVolts: readonly number[];
  /** Of the logarithms of the resistances: series, then relaxations. */
  readonly lnOhm: readonly number[];
  /** Of the logarithm of the resistances' factor at `factorKnots`. */
  readonly lnFactor: readonly number[];
  readonly seriesSlopeK: number;
  readonly relaxationSlopeK: number;
}

/** What was measured, and how far a prediction may therefore reach. */
export interface ModelRange {
  /** Time-weighted mean current of the gentlest and of the hardest run, A. */
  readonly meanA: readonly [low: number, high: number];
  readonly peakA: number;
  /** Largest charge drawn in any run, as a share of `chargeAh`. */
  readonly chargeShare: number;
  /** Probe at onset, degC; null when no run has a probe. */
  readonly startC: readonly [low: number, high: number] | null;
  readonly maxC: number | null;
  /** Age of the youngest and of the oldest specimen, cycles; null when nobody said. */
  readonly cycles: readonly [low: number, high: number] | null;
}

/** How runs of the pack agree with what the others predict of them. */
export interface ValidationSummary {
  readonly runs: number;
  readonly voltagePercentRms: number;
  readonly timePercentRms: number | null;
  readonly temperatureRms: number | null;
  /** Factor on all uncertainties, 1 or more. */
  readonly kappa: number;
}

/**
 * A pack as all its runs together show it. Voltages, resistances and heat are those of one cell (all strings in parallel together);
 * resistances at 25 degC. The mean of the tested specimens has the scales 1.
 */
export interface PackModel {
  readonly modelVersion: number;
  readonly chemistry: Chemistry;
  readonly series: number;
  readonly grade: Grade;
  readonly runs: number;
  readonly testers: number;
  /** The charge that stands for a share of 1, Ah. */
  readonly chargeAh: number;
  /** Source voltage at even shares of the charge drawn from 0 to 1, V. */
  readonly sourceVolts: readonly number[];
  /** Factor on all resistances at the same shares. */
  readonly resistanceFactor: readonly number[];
  readonly seriesOhm: number;
  readonly seriesSlopeK: number;
  readonly relaxations: readonly { readonly seconds: number; readonly ohm: number }[];
  readonly relaxationSlopeK: number;
  readonly heat: CellHeat;
  /** Relative standard uncertainties of the heat capacity, of the way to the skin and of the way to the air. */
  readonly heatUncertainty: readonly number[];
  /** Relative standard deviation among specimens. */
  readonly spread: { readonly capacity: number; readonly resistance: number };
  /** Relative standard uncertainty of the mean specimen. */
  readonly meanUncertainty: { readonly capacity: number; readonly resistance: number };
  readonly sourceKnots: readonly number[];
  readonly factorKnots: readonly number[];
  readonly directions: readonly ModelDirection[];
  readonly covariates: {
    /** Age in cycles that the model's numbers are of; null where the runs do not tell. */
    readonly referenceCycles: number | null;
    readonly lnCapacityPer100Cycles: CovariateSlope | null;
    readonly lnResistancePer100Cycles: CovariateSlope | null;
    readonly lnCapacityPer10K: CovariateSlope | null;
  };
  /** Scales of each specimen against the mean. */
  readonly specimens: readonly {
    readonly specimenId: string;
    readonly capacity: number;
    readonly resistance: number;
  }[];
  readonly range: ModelRange;
  readonly validation: ValidationSummary | null;
}
