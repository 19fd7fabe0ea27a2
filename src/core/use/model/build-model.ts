import { EigenvalueDecomposition, Matrix } from "ml-matrix";
import { exp } from "../../numerics/library.js";
import { square } from "../../numerics/square.js";
import { type FittedPack, fitPack } from "./fit-pack.js";
import {
  type CovariateSlope,
  type Grade,
  type ModelDirection,
  type PackModel,
  TABLE_INTERVALS,
  USE_MODEL_VERSION,
} from "./pack-model.js";
import type { PackRun, PooledPack } from "./pack-run.js";
import { rangeOf } from "./range.js";
import { factorTable, falling, rounded } from "./tables.js";
import {
  CAPACITY_AGE,
  CAPACITY_WARMTH,
  OHM,
  PER_SPECIMEN,
  RELAXATION_S,
  RELAXATION_SLOPE,
  RESISTANCE_AGE,
  SERIES_SLOPE,
  SHAPE,
  SHAPE_KNOTS,
  SHARED,
  SOURCE,
  SOURCE_KNOTS,
  SOURCE_SPLINE,
} from "./unknowns.js";

/** Spread among specimens before any is seen, as relative standard deviations, and how many specimens that is worth (common practice, no published source). */
const PRIOR_SPREAD = { capacity: 0.015, resistance: 0.05 };
const PRIOR_FREEDOM = 4;
/** So many directions of the fit's uncertainty are kept: those that move voltages most. */
const DIRECTIONS = 6;
/** Fits a pack's model to its runs; null where the fit runs away. It says nothing of its validation yet. */
export function buildModel(pack: PooledPack, runs: readonly PackRun[], grade: Grade): PackModel | null {
  const fit = fitPack(pack, runs);
  return fit && modelOf(pack, runs, grade, fit);
}

function modelOf(pack: PooledPack, runs: readonly PackRun[], grade: Grade, fit: FittedPack): PackModel {
  const { values, unknowns } = fit;
  const at = (i: number) => values[i] as number;
  const chargeAh = fit.referenceAs / 3600;
  const testers = new Set(runs.map(({ testerId }) => testerId)).size;
  const spread = {
    capacity: spreadOf(fit, 0, PRIOR_SPREAD.capacity),
    resistance: spreadOf(fit, 1, PRIOR_SPREAD.resistance),
  };
  const ended = new Set(runs.filter(({ reachedCutoff }) => reachedCutoff).map(({ testerId }) => testerId)).size;
  return {
    modelVersion: USE_MODEL_VERSION,
    chemistry: pack.chemistry,
    series: pack.series,
    grade,
    runs: runs.length,
    testers,
    chargeAh: rounded(chargeAh),
    sourceVolts: falling(SOURCE_SPLINE.table(values.subarray(SOURCE, SOURCE + SOURCE_KNOTS.length), TABLE_INTERVALS)),
    resistanceFactor: factorTable(values.subarray(SHAPE, SHAPE + SHAPE_KNOTS.length)),
    seriesOhm: rounded(exp(at(OHM))),
    seriesSlopeK: rounded(at(SERIES_SLOPE)),
    relaxations: RELAXATION_S.map((seconds, j) => ({ seconds, ohm: rounded(exp(at(OHM + 1 + j))) })),
    relaxationSlopeK: rounded(at(RELAXATION_SLOPE)),
    heat: fit.heat.heat,
    heatUncertainty: fit.heat.deviations.map(rounded),
    spread,
    meanUncertainty: {
      capacity: spread.capacity / Math.sqrt(Math.max(1, ended)),
      resistance: spread.resistance / Math.sqrt(testers),
    },
    sourceKnots: SOURCE_KNOTS,
    factorKnots: SHAPE_KNOTS,
    directions: directionsOf(fit),
    covariates: {
      referenceCycles: fit.spans.cycles ? rounded(unknowns.referenceCycles) : null,
      lnCapacityPer100Cycles: fit.spans.cycles ? slopeOf(fit, CAPACITY_AGE) : null,
      lnResistancePer100Cycles: fit.spans.cycles ? slopeOf(fit, RESISTANCE_AGE) : null,
      lnCapacityPer10K: fit.spans.startC ? slopeOf(fit, CAPACITY_WARMTH) : null,
    },
    specimens: unknowns.specimens.map((specimenId, k) => ({
      specimenId,
      capacity: rounded(exp(at(SHARED + PER_SPECIMEN * k))),
      resistance: rounded(exp(at(SHARED + PER_SPECIMEN * k + 1))),
    })),
    range: rangeOf(runs, chargeAh),
    validation: null,
  };
}

/** Standard deviation among specimens, pooled with what is known of other packs. */
function spreadOf({ unknowns, values }: FittedPack, offset: number, prior: number): number {
  const count = unknowns.specimens.length;
  const squares = unknowns.specimens.reduce(
    (sum, _, k) => sum + square(values[SHARED + PER_SPECIMEN * k + offset] as number),
    0,
  );
  return rounded(Math.sqrt((PRIOR_FREEDOM * square(prior) + squares) / (PRIOR_FREEDOM + count - 1)));
}

const slopeOf = ({ values, covariance }: FittedPack, i: number): CovariateSlope => ({
  value: rounded(values[i] as number),
  uncertainty: rounded(Math.sqrt(covariance[i * SHARED + i] as number)),
});

/**
 * The ways in which the fit's uncertainty moves the voltages of the runs most: with C = L L^T and J the voltages' derivatives, the columns of
 * L V, V being the eigenvectors of (J L)^T J L. They are orthogonal in what they do, so that their effects add as squares.
 */
function directionsOf({ covariance, slopes }: FittedPack): ModelDirection[] {
  const decomposed = new EigenvalueDecomposition(Matrix.from1DArray(SHARED, SHARED, covariance), {
    assumeSymmetric: true,
  });
  const roots = decomposed.realEigenvalues.map((value) => Math.sqrt(Math.max(0, value)));
  const root = decomposed.eigenvectorMatrix.clone().mulRowVector(roots);
  const moved = Matrix.from1DArray(slopes.length / SHARED, SHARED, slopes).mmul(root);
  const effects = new EigenvalueDecomposition(moved.transpose().mmul(moved), { assumeSymmetric: true });
  const order = effects.realEigenvalues.map((value, i) => ({ value, i })).sort((a, b) => b.value - a.value);
  return order.slice(0, DIRECTIONS).map(({ i }) => {
    const way = root.mmul(Matrix.columnVector(effects.eigenvectorMatrix.getColumn(i))).getColumn(0);
    // An eigenvector has no sign of its own: the one that lowers the source in the middle.
    const sign = (way[SOURCE_KNOTS.length >> 1] as number) > 0 ? -1 : 1;
    const part = (from: number, count: number) => way.slice(from, from + count).map((value) => rounded(sign * value));
    return {
      sourceVolts: part(SOURCE, SOURCE_KNOTS.length),
      lnOhm: part(OHM, 1 + RELAXATION_S.length),
      lnFactor: part(SHAPE, SHAPE_KNOTS.length),
      seriesSlopeK: part(SERIES_SLOPE, 1)[0] as number,
      relaxationSlopeK: part(RELAXATION_SLOPE, 1)[0] as number,
    };
  });
}
