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
const MIN_SPARE_SAMPLES = 3;

/** What the fit needs of the samples: the sums over all products of two of its columns, whatever the warming w. */
export interface RelaxationSums {
  /** Unknowns of the fit: R_1, b, c, and d when the run is long enough for it. */
  readonly size: number;
  readonly samples: number;
  /** Symmetric, COLUMNS x COLUMNS, by rows. */
  readonly sums: Float64Array;
}

/** -I, -I ln t, I h, I h ln t, q, q^2, and what is fitted: the voltage without what is known of it. Charges over the last one. */
const COLUMNS = 7;
const FITTED = 6;
/** The columns of R_1, b, c and d, each with the column that joins it by w. */
const PLAIN = [0, 1, 4, 5] as const;
const WARMED = [2, 3, null, null] as const;

/**
 * The sums for `fitRelaxation` over a run's first 40 s; null when it has too few samples there.
 *
 * @param riseEndS the load is fully on from here
 */
export function relaxationSums(
  { time, voltage, current, charge, heat }: Loaded,
  rest: RestVolts,
  { riseEndS, endS }: { riseEndS: number; endS: number },
): RelaxationSums | null {
  const untilS = Math.max(SHORTEST_UNTIL_S, Math.min(UNTIL_S, endS / 2));
  const from = indexAtOrAfter(time, Math.max(FROM_S, riseEndS));
  const to = indexAtOrAfter(time, untilS);
  const size = untilS < CURVED_UNTIL_S ? 3 : 4;
  if (to - from < size + MIN_SPARE_SAMPLES) return null;
  const surface = Math.max(0, rest.measured - rest.settledAtMost);
  const chargeScale = charge[to - 1] as number;
  const sums = new Float64Array(COLUMNS * COLUMNS);
  const row = new Float64Array(COLUMNS);
  for (let i = from; i < to; i++) {
    const amps = current[i] as number;
    const growth = growthAt(time[i] as number);
    const drawn = charge[i] as number;
    row[0] = -amps;
    row[1] = -amps * growth;
    row[2] = amps * (heat[i] as number);
    row[3] = (row[2] as number) * growth;
    row[4] = drawn / chargeScale;
    row[5] = (row[4] as number) ** 2;
    row[FITTED] = (voltage[i] as number) - rest.measured + surface * (1 - Math.exp(-drawn / rest.surfaceChargeC));
    for (let a = 0; a < COLUMNS; a++) {
      const value = row[a] as number;
      for (let b = a; b < COLUMNS; b++) {
        const at = a * COLUMNS + b;
        sums[at] = (sums[at] as number) + value * (row[b] as number);
      }
    }
  }
  for (let a = 0; a < COLUMNS; a++) {
    for (let b = 0; b < a; b++) sums[a * COLUMNS + b] = sums[b * COLUMNS + a] as number;
  }
  return { size, samples: to - from, sums };
}

/**
 * The resistance of a run's first 40 s, by least squares over
 * V = V_0 - A (1 - exp(-q / q_s)) + c q + d q^2 - I (R_1 + b ln t) (1 - w h),
 * in which c and d are the fall of the open-circuit voltage, A the surface charge above the settled voltage, and w is given.
 * null when the samples do not tell the parameters apart.
 */
export function fitRelaxation({ size, samples, sums }: RelaxationSums, fallPerHeat: number): Relaxation | null {
  const sum = (a: number | null, b: number | null) =>
    a === null || b === null ? 0 : (sums[a * COLUMNS + b] as number);
  const plain = [...PLAIN.slice(0, size), FITTED];
  const warmed = [...WARMED.slice(0, size), null];
  const products = new Float64Array((size + 1) * (size + 1));
  for (let a = 0; a <= size; a++) {
    for (let b = 0; b <= a; b++) {
      const [pa = null, pb = null, wa = null, wb = null] = [plain[a], plain[b], warmed[a], warmed[b]];
      products[a * (size + 1) + b] =
        sum(pa, pb) + fallPerHeat * (sum(pa, wb) + sum(wa, pb)) + fallPerHeat ** 2 * sum(wa, wb);
    }
  }
  return solved(products, size, samples - size);
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
