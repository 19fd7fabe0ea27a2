import { log } from "../../numerics/library.js";
import { openCircuitCurve } from "../../translation/open-circuit-curves.js";
import type { PackRun, PooledPack } from "./pack-run.js";
import { NaturalSpline } from "./spline.js";

/** Where the source voltage is looked for, as shares of the largest charge drawn: dense where it bends. */
export const SOURCE_KNOTS = [
  0, 0.006, 0.015, 0.03, 0.06, 0.1, 0.17, 0.25, 0.33, 0.42, 0.51, 0.6, 0.69, 0.78, 0.85, 0.89, 0.915, 0.945, 0.965,
  0.98, 0.992, 1,
] as const;
export const SOURCE_SPLINE = new NaturalSpline(SOURCE_KNOTS);
/** Where the factor of the resistances is looked for; it is 1 at `UNIT_KNOT`, and its logarithm is linear between. */
export const SHAPE_KNOTS = [0, 0.3, 0.6, 0.8, 0.92, 1] as const;
export const UNIT_KNOT = 1;
/** Time constants of the relaxations, s. */
export const RELAXATION_S = [1.2, 6, 30, 150] as const;
export const REFERENCE_K = 298.15;
export const KELVIN = 273.15;

/** Where each group of unknowns stands among all of them: what all specimens share, and then three numbers for each specimen. */
export const SOURCE = 0;
export const OHM = SOURCE_KNOTS.length;
export const SHAPE = OHM + 1 + RELAXATION_S.length;
export const SERIES_SLOPE = SHAPE + SHAPE_KNOTS.length;
export const RELAXATION_SLOPE = SERIES_SLOPE + 1;
/** Logarithms of the capacity and of the resistance by 100 cycles, and of the capacity by 10 K at onset. */
export const CAPACITY_AGE = RELAXATION_SLOPE + 1;
export const RESISTANCE_AGE = CAPACITY_AGE + 1;
export const CAPACITY_WARMTH = RESISTANCE_AGE + 1;
export const SHARED = CAPACITY_WARMTH + 1;
/** Of each specimen: logarithms of its capacity and resistance, and the gain of its bench's voltage. */
export const PER_SPECIMEN = 3;
/** The temperature at onset by which the change of capacity is told, degC. */
export const REFERENCE_START_C = 23;

export interface Prior {
  readonly mean: number;
  readonly deviation: number;
}

/** Common practice, no published source: what simulated packs of several forms and a few public cells suggest. */
const OHM_SHARES = [0.7, 0.1, 0.13, 0.17, 0.2] as const;
const OHM_DEVIATION = 0.8;
const SHAPE_PRIORS = [
  [0, 0.2],
  [0, 1e-6],
  [0, 0.15],
  [0, 0.2],
  [0.05, 0.3],
  [0.2, 0.8],
] as const;
const SERIES_SLOPE_PRIOR = { mean: 1000, deviation: 600 };
const RELAXATION_SLOPE_PRIOR = { mean: 1900, deviation: 800 };
const CAPACITY_AGE_PRIOR = { mean: 0, deviation: 0.03 };
const RESISTANCE_AGE_PRIOR = { mean: 0, deviation: 0.1 };
const CAPACITY_WARMTH_PRIOR = { mean: 0, deviation: 0.03 };
export const CAPACITY_DEVIATION = 0.02;
export const RESISTANCE_DEVIATION = 0.06;
const GAIN_DEVIATION = 0.0012;
const START_DEVIATION = 0.05;
const SOURCE_DEVIATION_V = 0.3;
/** Share of a typical curve that runs to their cutoff span. */
const SPANNED = 0.965;
/** What the data do not span is known to be no change: it moves by no more than this. */
const FIXED = 1e-6;

/** Which changes the runs span, so that a slope can be told. */
export interface Spans {
  readonly cycles: boolean;
  readonly startC: boolean;
}

/** The unknowns of a fit: how many there are, where each specimen's stand, and what is known of them before. */
export interface Unknowns {
  readonly size: number;
  readonly specimens: readonly string[];
  /** Mean age of the runs, from which changes with age are counted; 0 where they do not tell. */
  readonly referenceCycles: number;
  readonly priors: readonly Prior[];
  /** First unknown of a run's specimen. */
  specimenAt(run: PackRun): number;
  /** The unknown of a run's start, where it began on a partly drawn pack; null from a full one. */
  startAt(run: PackRun): number | null;
}

/** @param ohm resistance of a cell after 1 s of load, as the runs show it before any fit */
export function unknownsOf(pack: PooledPack, runs: readonly PackRun[], spans: Spans, ohm: number): Unknowns {
  const specimens = [...new Set(runs.map(({ specimenId }) => specimenId))];
  const partial = runs.filter(({ drawnBefore }) => drawnBefore !== null);
  const starts = SHARED + PER_SPECIMEN * specimens.length;
  const curve = openCircuitCurve(pack.chemistry);
  const when = (spanned: boolean, prior: Prior) => (spanned ? prior : { mean: 0, deviation: FIXED });
  const priors: Prior[] = [
    ...SOURCE_KNOTS.map((z) => ({ mean: curve(1 - SPANNED * z).volts, deviation: SOURCE_DEVIATION_V })),
    ...OHM_SHARES.map((share) => ({ mean: log(share * ohm), deviation: OHM_DEVIATION })),
    ...SHAPE_PRIORS.map(([mean, deviation]) => ({ mean, deviation })),
    SERIES_SLOPE_PRIOR,
    RELAXATION_SLOPE_PRIOR,
    when(spans.cycles, CAPACITY_AGE_PRIOR),
    when(spans.cycles, RESISTANCE_AGE_PRIOR),
    when(spans.startC, CAPACITY_WARMTH_PRIOR),
    ...specimens.flatMap(() => [
      { mean: 0, deviation: CAPACITY_DEVIATION },
      { mean: 0, deviation: RESISTANCE_DEVIATION },
      { mean: 0, deviation: GAIN_DEVIATION },
    ]),
    ...partial.map(({ drawnBefore }) => ({ mean: drawnBefore as number, deviation: START_DEVIATION })),
  ];
  return {
    size: priors.length,
    specimens,
    referenceCycles: spans.cycles ? runs.reduce((sum, { cycles }) => sum + (cycles ?? 0), 0) / runs.length : 0,
    priors,
    specimenAt: ({ specimenId }) => SHARED + PER_SPECIMEN * specimens.indexOf(specimenId),
    startAt: (run) => (run.drawnBefore === null ? null : starts + partial.indexOf(run)),
  };
}
