import { BEND, cellVolts, OHMIC, STRETCH, SURFACE_FADE, UNKNOWNS } from "./cell-model.js";
import type { FitPoint } from "./fit-points.js";
import { addGram, factorise, solve } from "./normal-equations.js";
import { openCircuitCurve } from "./open-circuit-curves.js";
import { type FitFrame, type Prior, priorsOf } from "./priors.js";

/** The unknowns of a run's model as its voltages and the priors together give them. */
export interface FittedCell {
  readonly unknowns: Float64Array;
  /** Resistances and their shape by `OHMIC` rows: the lower triangle L of their covariance L L^T, by rows. */
  readonly ohmicRoot: Float64Array;
}

const BEFORE_BENDS = { from: 0, to: BEND };
const THE_BENDS = { from: BEND, to: STRETCH };
const BEHIND_BENDS = { from: STRETCH, to: UNKNOWNS };
const ROUNDS = 8;
/** The fit is settled when no unknown moves by more than this share of its prior's deviation. */
const SETTLED = 1e-9;
/** Bounds of the charge over which a surface charge fades, as a share of the run's. */
const MIN_FADE = 0.006;
const MAX_FADE = 0.08;

/**
 * Fits the model of a run by Gauss and Newton's method: least squares over the voltages and the priors together, both over their
 * standard uncertainties. null when it runs away.
 */
export function fitCellModel(points: readonly FitPoint[], frame: FitFrame): FittedCell | null {
  const priors = priorsOf(frame);
  const curve = openCircuitCurve(frame.chemistry);
  const unknowns = Float64Array.from(priors, ({ mean }) => mean);
  const scale = Float64Array.from(priors, ({ deviation }) => deviation);
  const slopes = new Float64Array(UNKNOWNS);
  const off = new Float64Array(points.length);
  const columns = new Float64Array(UNKNOWNS * points.length);
  // The voltages are linear in the bends: what they alone give to the normal equations stays the same from round to round.
  for (let k = 0; k < points.length; k++) {
    const { bends, deviation } = points[k] as FitPoint;
    for (let i = BEND; i < STRETCH; i++) {
      columns[i * points.length + k] = ((bends[i - BEND] as number) * (scale[i] as number)) / deviation;
    }
  }
  const ofBends = new Float64Array(UNKNOWNS * UNKNOWNS);
  for (let i = 0; i < UNKNOWNS; i++) ofBends[i * UNKNOWNS + i] = 1;
  addGram(columns, points.length, ofBends, UNKNOWNS, THE_BENDS, THE_BENDS);
  const normal = new Float64Array(UNKNOWNS * UNKNOWNS);
  const right = new Float64Array(UNKNOWNS);
  for (let round = 0; round < ROUNDS; round++) {
    for (let k = 0; k < points.length; k++) {
      const point = points[k] as FitPoint;
      const { deviation } = point;
      off[k] = (point.volts - cellVolts(unknowns, curve, point, slopes)) / deviation;
      for (let i = 0; i < BEND; i++)
        columns[i * points.length + k] = ((slopes[i] as number) * (scale[i] as number)) / deviation;
      for (let i = STRETCH; i < UNKNOWNS; i++)
        columns[i * points.length + k] = ((slopes[i] as number) * (scale[i] as number)) / deviation;
    }
    normal.set(ofBends);
    addGram(columns, points.length, normal, UNKNOWNS, BEFORE_BENDS, BEFORE_BENDS);
    addGram(columns, points.length, normal, UNKNOWNS, THE_BENDS, BEFORE_BENDS);
    addGram(columns, points.length, normal, UNKNOWNS, BEHIND_BENDS);
    for (let i = 0; i < UNKNOWNS; i++) {
      const { mean, deviation } = priors[i] as Prior;
      let sum = (mean - (unknowns[i] as number)) / deviation;
      for (let k = 0; k < off.length; k++) sum += (columns[i * off.length + k] as number) * (off[k] as number);
      right[i] = sum;
    }
    if (!factorise(normal, UNKNOWNS)) return null;
    solve(normal, right, UNKNOWNS);
    let largest = 0;
    for (let i = 0; i < UNKNOWNS; i++) {
      largest = Math.max(largest, Math.abs(right[i] as number));
      unknowns[i] = (unknowns[i] as number) + (right[i] as number) * (scale[i] as number);
    }
    unknowns[SURFACE_FADE] = Math.min(MAX_FADE, Math.max(MIN_FADE, unknowns[SURFACE_FADE] as number));
    if (largest < SETTLED) break;
  }
  if (!unknowns.every(Number.isFinite)) return null;
  return { unknowns, ohmicRoot: ohmicRootOf(normal, priors) };
}

/** Cholesky's factor of the covariance of the resistances and their shape, in their units. */
function ohmicRootOf(factor: Float64Array, priors: readonly Prior[]): Float64Array {
  const covariance = new Float64Array(OHMIC * OHMIC);
  for (let j = 0; j < OHMIC; j++) {
    const column = new Float64Array(UNKNOWNS);
    column[j] = 1;
    solve(factor, column, UNKNOWNS);
    for (let i = 0; i < OHMIC; i++) {
      covariance[i * OHMIC + j] =
        (column[i] as number) * (priors[i] as Prior).deviation * (priors[j] as Prior).deviation;
    }
  }
  if (!factorise(covariance, OHMIC)) throw new Error("the covariance of a fit is not positive definite");
  return covariance;
}
