import { CholeskyDecomposition, Matrix } from "ml-matrix";
import { indexAtOrAfter } from "../trace/series.js";
import type { Loaded } from "./loaded.js";
import { growthAt } from "./resistance.js";

/** What a pack's voltage starts from: at rest, once a surface charge is gone, and over how much charge that fades to 1/e. */
export interface RestVolts {
  readonly measured: number;
  readonly settledAtMost: number;
  /** As. */
  readonly surfaceChargeC: number;
}

/** About this instant the fit's R_1 + b ln t is known best, s. */
export const PIVOT_S = 3;

/** R_1 and b of `SourceResistance`, with what the scatter about the fit leaves of doubt. */
export interface Relaxation {
  readonly earlyOhm: number;
  readonly growthOhm: number;
  /** Standard uncertainty of R_1 + b ln 3 from the scatter, ohm. */
  readonly pivotNoiseOhm: number;
  /** Standard uncertainty of b from the scatter, ohm. */
  readonly growthNoiseOhm: number;
}

const FROM_S = 1;
const UNTIL_S = 40;
const SHORTEST_UNTIL_S = 10;
/** Below this span a straight line has to do for the open-circuit voltage. */
const CURVED_UNTIL_S = 20;
const FEWEST_SPARE_SAMPLES = 3;

/**
 * The resistance of a run's first 40 s, by least squares over
 * V = V_0 - A (1 - exp(-q / q_s)) + c q + d q^2 - I (R_1 + b ln t) (1 - w h),
 * in which c and d are the fall of the open-circuit voltage, A the surface charge above the settled voltage, and w is given.
 * null when the samples do not tell the parameters apart.
 *
 * @param riseEndS the load is fully on from here
 */
export function fitRelaxation(
  loaded: Loaded,
  rest: RestVolts,
  { riseEndS, endS, fallPerHeat }: { riseEndS: number; endS: number; fallPerHeat: number },
): Relaxation | null {
  const { time, voltage, current, charge, heat } = loaded;
  const untilS = Math.max(SHORTEST_UNTIL_S, Math.min(UNTIL_S, endS / 2));
  const from = indexAtOrAfter(time, Math.max(FROM_S, riseEndS));
  const to = indexAtOrAfter(time, untilS);
  const size = untilS < CURVED_UNTIL_S ? 3 : 4;
  const surface = Math.max(0, rest.measured - rest.settledAtMost);
  const products = new Float64Array((size + 1) * (size + 1));
  const row = new Float64Array(size + 1);
  const chargeScale = charge[to - 1] as number;
  for (let i = from; i < to; i++) {
    const drawn = charge[i] as number;
    const amps = (current[i] as number) * (1 - fallPerHeat * (heat[i] as number));
    row[0] = -amps;
    row[1] = -amps * growthAt(time[i] as number);
    row[2] = drawn / chargeScale;
    if (size === 4) row[3] = (drawn / chargeScale) ** 2;
    row[size] = (voltage[i] as number) - rest.measured + surface * (1 - Math.exp(-drawn / rest.surfaceChargeC));
    for (let a = 0; a <= size; a++) {
      for (let b = 0; b <= a; b++) {
        products[a * (size + 1) + b] =
          (products[a * (size + 1) + b] as number) + (row[a] as number) * (row[b] as number);
      }
    }
  }
  if (to - from < size + FEWEST_SPARE_SAMPLES) return null;
  return solved(products, size, to - from - size);
}

/** Solves the normal equations, scaled to a unit diagonal. `products` is the lower triangle of (X|y)^T (X|y). */
function solved(products: Float64Array, size: number, freedom: number): Relaxation | null {
  const product = (a: number, b: number) => products[Math.max(a, b) * (size + 1) + Math.min(a, b)] as number;
  const scale = Array.from({ length: size }, (_, i) => Math.sqrt(product(i, i)));
  if (!scale.every((one) => one > 0)) return null;
  const at = (i: number) => scale[i] as number;
  const normal = Matrix.zeros(size, size);
  for (let a = 0; a < size; a++) for (let b = 0; b < size; b++) normal.set(a, b, product(a, b) / (at(a) * at(b)));
  const cholesky = new CholeskyDecomposition(normal);
  if (!cholesky.isPositiveDefinite()) return null;
  const right = Matrix.columnVector(scale.map((one, i) => product(size, i) / one));
  const answer = cholesky.solve(right).to1DArray();
  const inverse = cholesky.solve(Matrix.eye(size));
  const explained = answer.reduce((sum, value, i) => sum + value * right.get(i, 0), 0);
  const variance = Math.max(0, product(size, size) - explained) / freedom;
  const covariance = (a: number, b: number) => (variance * inverse.get(a, b)) / (at(a) * at(b));
  const pivot = growthAt(PIVOT_S);
  return {
    earlyOhm: (answer[0] as number) / at(0),
    growthOhm: (answer[1] as number) / at(1),
    pivotNoiseOhm: Math.sqrt(covariance(0, 0) + 2 * pivot * covariance(0, 1) + pivot ** 2 * covariance(1, 1)),
    growthNoiseOhm: Math.sqrt(covariance(1, 1)),
  };
}
