import { Matrix, QrDecomposition } from "ml-matrix";
import { square } from "../numerics/square.js";

/** Predicts y at one point; `X` is whatever tells points apart: a time, or a record of time, current and ambient. */
export type Model<X> = (parameters: readonly number[], x: X) => number;

export interface LeastSquaresFit {
  readonly parameters: readonly number[];
  /** Covariance of the parameters, s^2 (J^T W J)^-1; `covariance[i][j]` in the units of parameter i times parameter j. */
  readonly covariance: readonly (readonly number[])[];
  /** s = sqrt(sum(w (y - model)^2) / degreesOfFreedom), in the unit of y where all weights are 1. */
  readonly residualSd: number;
  /** Points minus parameters. */
  readonly degreesOfFreedom: number;
}

/** Parameters, their weighted residuals, and the sum of those residuals' squares. */
interface State {
  readonly parameters: readonly number[];
  readonly residuals: readonly number[];
  readonly squares: number;
}

const MAX_ROUNDS = 500;
const MAX_POLISHING = 10;
/** Steps downhill end when the residuals are orthogonal to what the parameters can still change, to this cosine. */
const ORTHOGONAL = 1e-6;
/** By this share the sum of squares may rise while the cosine falls: it is rounding. */
const SAME_SQUARES = 1e-9;
/** Residuals of this share of the data, which no step makes smaller, are nothing but rounding. */
const EXACT = 1e-11;
/** Central differences lose least with a step of the cube root of the arithmetic's precision. */
const DIFFERENCE_STEP = 6.0554544523933395e-6;
const FIRST_DAMPING = 1e-3;
const MIN_DAMPING = 1e-15;
const MAX_DAMPING = 1e15;
const DAMPING_FACTOR = 10;
/** A step of more than this many times a parameter's size, at the start or now, is beyond what a linearisation tells. */
const MAX_STEP = 2;

/**
 * Parameters that minimise sum(w (y - model(parameters, x))^2), by Marquardt's method: each step solves the linearised
 * problem (QR), damped along each parameter by how strongly the model depends on it. Without randomness or clock: the
 * same input gives the same bits.
 *
 * Sources: D. W. Marquardt, J. Soc. Indust. Appl. Math. 11 (1963) 431-441; scaling by the largest column norms seen,
 * J. J. More, Lecture Notes in Mathematics 630 (1978) 105-116; when to stop, D. M. Bates, D. G. Watts, Technometrics 23
 * (1981) 179-183 (all from memory).
 *
 * @param start one value for each parameter, of the right sign and order of magnitude
 * @param weights relative weights 1/u^2 of the points, above zero; all 1 when left out
 * @returns null when there are not more points than parameters, when the points do not determine every parameter, or
 *   when no minimum was found
 * @throws RangeError when x, y and weights are not of the same length
 */
export function fitLeastSquares<X>(
  model: Model<X>,
  start: readonly number[],
  x: ArrayLike<X>,
  y: ArrayLike<number>,
  weights?: ArrayLike<number>,
): LeastSquaresFit | null {
  if (x.length !== y.length || (weights && weights.length !== y.length)) {
    throw new RangeError("x, y and weights of a fit need the same length");
  }
  const degreesOfFreedom = y.length - start.length;
  if (degreesOfFreedom < 1) return null;
  const roots = Float64Array.from(y, (_, i) => Math.sqrt(weights ? (weights[i] as number) : 1));
  const weighted = (parameters: readonly number[]) =>
    Array.from(roots, (root, i) => root * model(parameters, x[i] as X));
  const target = Array.from(roots, (root, i) => root * (y[i] as number));
  const stateAt = (parameters: readonly number[]): State => {
    const residuals = weighted(parameters).map((predicted, i) => (target[i] as number) - predicted);
    return { parameters, residuals, squares: sumOfSquares(residuals) };
  };
  const jacobianAt = (parameters: readonly number[]) => differences(weighted, parameters, start);
  const lowest = descend(stateAt(start), stateAt, jacobianAt, square(EXACT) * sumOfSquares(target));
  if (!lowest) return null;
  const least = polish(lowest, stateAt, jacobianAt);
  const variance = least.squares / degreesOfFreedom;
  const covariance = covarianceOf(jacobianAt(least.parameters), variance);
  if (!covariance) return null;
  return { parameters: least.parameters, covariance, residualSd: Math.sqrt(variance), degreesOfFreedom };
}

/** The state of least squares that steps downhill lead to, or null. */
function descend(
  first: State,
  stateAt: (parameters: readonly number[]) => State,
  jacobianAt: (parameters: readonly number[]) => Matrix,
  exactSquares: number,
): State | null {
  const start = first.parameters;
  let state = first;
  let damping = FIRST_DAMPING;
  const scale = new Float64Array(start.length);
  for (let round = 0; round < MAX_ROUNDS; round++) {
    if (!Number.isFinite(state.squares)) return null;
    if (state.squares === 0) return state;
    const jacobian = jacobianAt(state.parameters);
    scale.forEach((largest, j) => {
      scale[j] = Math.max(largest, Math.sqrt(sumOfSquares(jacobian.getColumn(j))));
    });
    if (!scale.every((norm) => norm > 0 && Number.isFinite(norm))) return null;
    const cosine = cosineToTangents(jacobian, state);
    if (cosine <= ORTHOGONAL) return state;
    const sizes = state.parameters.map((value, j) => Math.max(Math.abs(value), Math.abs(start[j] as number)) || 1);
    let lower: State | null = null;
    while (!lower && damping <= MAX_DAMPING) {
      const step = dampedStep(jacobian, state.residuals, scale, damping);
      const within = step.every((by, j) => Math.abs(by) <= MAX_STEP * (sizes[j] as number));
      const tried = within ? stateAt(state.parameters.map((value, j) => value + (step[j] as number))) : state;
      if (tried.squares < state.squares) lower = tried;
      else damping *= DAMPING_FACTOR;
    }
    if (!lower) return state.squares <= exactSquares ? state : null;
    state = lower;
    damping = Math.max(MIN_DAMPING, damping / DAMPING_FACTOR);
  }
  return null;
}

/**
 * The sum of squares is flat at its minimum, so steps downhill end at half of the digits; undamped steps go on for as long as
 * they bring the residuals nearer to orthogonal.
 */
function polish(
  lowest: State,
  stateAt: (parameters: readonly number[]) => State,
  jacobianAt: (parameters: readonly number[]) => Matrix,
): State {
  let state = lowest;
  let jacobian = jacobianAt(state.parameters);
  for (let round = 0; round < MAX_POLISHING && state.squares > 0; round++) {
    const step = new QrDecomposition(jacobian).solve(Matrix.columnVector([...state.residuals])).getColumn(0);
    const next = stateAt(state.parameters.map((value, j) => value + (step[j] as number)));
    if (!(next.squares <= state.squares * (1 + SAME_SQUARES))) break;
    const nextJacobian = jacobianAt(next.parameters);
    if (!(cosineToTangents(nextJacobian, next) < cosineToTangents(jacobian, state))) break;
    state = next;
    jacobian = nextJacobian;
  }
  return state;
}

/** d(weighted prediction)/d(parameter) by central differences: one row for each point, one column for each parameter. */
function differences(
  weighted: (parameters: readonly number[]) => readonly number[],
  parameters: readonly number[],
  start: readonly number[],
): Matrix {
  const columns = parameters.map((value, j) => {
    const step = DIFFERENCE_STEP * (Math.abs(value) || Math.abs(start[j] as number) || 1);
    const up = weighted(parameters.with(j, value + step));
    const down = weighted(parameters.with(j, value - step));
    // What was really added and taken away, after rounding.
    const span = value + step - (value - step);
    return up.map((high, i) => (high - (down[i] as number)) / span);
  });
  return new Matrix(columns).transpose();
}

/** Least squares of [J; sqrt(damping) D] step = [residuals; 0]. */
function dampedStep(jacobian: Matrix, residuals: readonly number[], scale: Float64Array, damping: number): number[] {
  const root = Math.sqrt(damping);
  const rows = Array.from(scale, (norm, j) => Array.from(scale, (_, k) => (j === k ? root * norm : 0)));
  const augmented = new Matrix([...jacobian.to2DArray(), ...rows]);
  const right = Matrix.columnVector([...residuals, ...rows.map(() => 0)]);
  return new QrDecomposition(augmented).solve(right).getColumn(0);
}

/** Cosine of the angle between the residuals and their nearest direction in the plane that the parameters span. */
function cosineToTangents(jacobian: Matrix, { residuals, squares }: State): number {
  const decomposition = new QrDecomposition(jacobian);
  const along = decomposition.orthogonalMatrix.transpose().mmul(Matrix.columnVector([...residuals]));
  return Math.sqrt(sumOfSquares(along.getColumn(0)) / squares);
}

function covarianceOf(jacobian: Matrix, variance: number): number[][] | null {
  // Columns of length one, so that parameters of very different size do not look dependent.
  const norms = Array.from({ length: jacobian.columns }, (_, j) => Math.sqrt(sumOfSquares(jacobian.getColumn(j))));
  const decomposition = new QrDecomposition(jacobian.clone().divRowVector(norms));
  const { upperTriangularMatrix: upper } = decomposition;
  if (upper.diagonal().some((value) => !(Math.abs(value) > Number.EPSILON))) return null;
  const inverse = new QrDecomposition(upper).solve(Matrix.eye(upper.rows));
  const product = inverse.mmul(inverse.transpose());
  return product
    .to2DArray()
    .map((row, i) => row.map((value, j) => (variance * value) / (norms[i] as number) / (norms[j] as number)));
}

function sumOfSquares(values: ArrayLike<number>): number {
  let sum = 0;
  for (let i = 0; i < values.length; i++) sum += square(values[i] as number);
  return sum;
}
