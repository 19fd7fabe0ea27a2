import { square } from "../../numerics/square.js";
import { factorise, solve } from "../../translation/normal-equations.js";

/** The value of a spline at one place as weights of the values at its knots, and the slope likewise. */
export interface SplineRow {
  readonly value: Float64Array;
  readonly slope: Float64Array;
}

/**
 * Natural cubic splines through values at given knots, straight beyond both ends: linear in those values, so that they can be fitted
 * as they stand.
 *
 * Source: C. de Boor, A Practical Guide to Splines (1978), chapter IV (from memory).
 */
export class NaturalSpline {
  /** Second derivatives at the knots from the values there, by rows. */
  private readonly bends: Float64Array;
  /** Weights of tables, by their number of intervals. */
  private readonly tables = new Map<number, Float64Array>();

  constructor(readonly knots: readonly number[]) {
    this.bends = bendsFrom(knots);
  }

  /** Weights at `x`, written into `row`. */
  weigh(x: number, row: SplineRow): void {
    const { knots, bends } = this;
    const size = knots.length;
    const last = size - 1;
    let k = 0;
    while (k < last - 1 && (knots[k + 1] as number) <= x) k++;
    const width = (knots[k + 1] as number) - (knots[k] as number);
    const within = Math.min(Math.max(x, knots[0] as number), knots[last] as number);
    const right = (within - (knots[k] as number)) / width;
    const left = 1 - right;
    const [leftBend, rightBend] = [
      ((left * square(left) - left) * square(width)) / 6,
      ((right * square(right) - right) * square(width)) / 6,
    ];
    const [leftTurn, rightTurn] = [(-(3 * square(left) - 1) * width) / 6, ((3 * square(right) - 1) * width) / 6];
    for (let i = 0; i < size; i++) {
      const [b0, b1] = [bends[k * size + i] as number, bends[(k + 1) * size + i] as number];
      const own = i === k ? left : i === k + 1 ? right : 0;
      const rise = i === k ? -1 / width : i === k + 1 ? 1 / width : 0;
      const slope = rise + leftTurn * b0 + rightTurn * b1;
      row.slope[i] = slope;
      row.value[i] = own + leftBend * b0 + rightBend * b1 + slope * (x - within);
    }
  }

  newRow(): SplineRow {
    return { value: new Float64Array(this.knots.length), slope: new Float64Array(this.knots.length) };
  }

  /** Values at `intervals` + 1 even places from 0 to 1. */
  table(values: ArrayLike<number>, intervals: number): Float64Array {
    const size = this.knots.length;
    const weights = this.tableWeights(intervals);
    const table = new Float64Array(intervals + 1);
    for (let n = 0; n <= intervals; n++) {
      let sum = 0;
      for (let i = 0; i < size; i++) sum += (weights[n * size + i] as number) * (values[i] as number);
      table[n] = sum;
    }
    return table;
  }

  private tableWeights(intervals: number): Float64Array {
    let weights = this.tables.get(intervals);
    if (!weights) {
      weights = new Float64Array((intervals + 1) * this.knots.length);
      const row = this.newRow();
      for (let n = 0; n <= intervals; n++) {
        this.weigh(n / intervals, row);
        weights.set(row.value, n * this.knots.length);
      }
      this.tables.set(intervals, weights);
    }
    return weights;
  }
}

/** Solves the spline's tridiagonal equations once for a value of 1 at each knot. */
function bendsFrom(knots: readonly number[]): Float64Array {
  const size = knots.length;
  const inner = size - 2;
  const width = (i: number) => (knots[i + 1] as number) - (knots[i] as number);
  const matrix = new Float64Array(inner * inner);
  for (let i = 0; i < inner; i++) {
    matrix[i * inner + i] = (width(i) + width(i + 1)) / 3;
    if (i > 0) matrix[i * inner + i - 1] = width(i) / 6;
  }
  if (!factorise(matrix, inner)) throw new RangeError("the knots of a spline need to rise");
  const bends = new Float64Array(size * size);
  for (let j = 0; j < size; j++) {
    const right = new Float64Array(inner);
    for (let i = 0; i < inner; i++) {
      const at = (k: number) => (k === j ? 1 : 0);
      right[i] = (at(i + 2) - at(i + 1)) / width(i + 1) - (at(i + 1) - at(i)) / width(i);
    }
    solve(matrix, right, inner);
    for (let i = 0; i < inner; i++) bends[(i + 1) * size + j] = right[i] as number;
  }
  return bends;
}
