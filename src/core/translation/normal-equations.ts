/** Rows or columns of a matrix, `to` exclusive. */
export interface Span {
  readonly from: number;
  readonly to: number;
}

/**
 * Adds J^T J, or the part of it that lies in these rows and columns, to the lower triangle of a symmetric matrix.
 *
 * @param slopes J by columns: `points` numbers for each of its `size` unknowns
 * @param matrix `size` rows of `size` numbers
 */
export function addGram(
  slopes: Float64Array,
  points: number,
  matrix: Float64Array,
  size: number,
  rows: Span = { from: 0, to: size },
  columns: Span = { from: 0, to: size },
): void {
  let i = rows.from;
  // Eight sums at a time, of two rows and four columns, do not wait for each other; each adds its points in their order.
  for (; i + 1 < rows.to; i += 2) {
    const to = Math.min(i + 1, columns.to);
    let j = columns.from;
    for (; j + 3 < to; j += 4) addBlock(slopes, points, matrix, size, i, j);
    addRow(slopes, points, matrix, size, i, j, to);
    addRow(slopes, points, matrix, size, i + 1, j, Math.min(i + 2, columns.to));
  }
  if (i < rows.to) addRow(slopes, points, matrix, size, i, columns.from, Math.min(i + 1, columns.to));
}

/** Adds to two rows and four columns, from the row `i` and the column `j` on. */
function addBlock(
  slopes: Float64Array,
  points: number,
  matrix: Float64Array,
  size: number,
  i: number,
  j: number,
): void {
  const at = i * size + j;
  const row = i * points;
  const first = j * points;
  let s0 = matrix[at] as number;
  let s1 = matrix[at + 1] as number;
  let s2 = matrix[at + 2] as number;
  let s3 = matrix[at + 3] as number;
  let t0 = matrix[at + size] as number;
  let t1 = matrix[at + size + 1] as number;
  let t2 = matrix[at + size + 2] as number;
  let t3 = matrix[at + size + 3] as number;
  for (let k = 0; k < points; k++) {
    const s = slopes[row + k] as number;
    const t = slopes[row + points + k] as number;
    const column = first + k;
    const c0 = slopes[column] as number;
    const c1 = slopes[column + points] as number;
    const c2 = slopes[column + 2 * points] as number;
    const c3 = slopes[column + 3 * points] as number;
    s0 += s * c0;
    s1 += s * c1;
    s2 += s * c2;
    s3 += s * c3;
    t0 += t * c0;
    t1 += t * c1;
    t2 += t * c2;
    t3 += t * c3;
  }
  matrix[at] = s0;
  matrix[at + 1] = s1;
  matrix[at + 2] = s2;
  matrix[at + 3] = s3;
  matrix[at + size] = t0;
  matrix[at + size + 1] = t1;
  matrix[at + size + 2] = t2;
  matrix[at + size + 3] = t3;
}

/** Adds to the columns from `j` to `to` of the row `i`. */
function addRow(
  slopes: Float64Array,
  points: number,
  matrix: Float64Array,
  size: number,
  i: number,
  j: number,
  to: number,
): void {
  const row = i * points;
  for (let column = j; column < to; column++) {
    let sum = matrix[i * size + column] as number;
    for (let k = 0; k < points; k++) sum += (slopes[row + k] as number) * (slopes[column * points + k] as number);
    matrix[i * size + column] = sum;
  }
}

/** Cholesky's factor of a symmetric matrix, over its lower triangle; false where it is not positive definite. */
export function factorise(matrix: Float64Array, size: number): boolean {
  for (let i = 0; i < size; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = matrix[i * size + j] as number;
      for (let k = 0; k < j; k++) sum -= (matrix[i * size + k] as number) * (matrix[j * size + k] as number);
      if (i !== j) matrix[i * size + j] = sum / (matrix[j * size + j] as number);
      else if (sum > 0) matrix[i * size + i] = Math.sqrt(sum);
      else return false;
    }
  }
  return true;
}

/** Solves L L^T x = b in place of b. */
export function solve(factor: Float64Array, right: Float64Array, size: number): void {
  for (let i = 0; i < size; i++) {
    let sum = right[i] as number;
    for (let k = 0; k < i; k++) sum -= (factor[i * size + k] as number) * (right[k] as number);
    right[i] = sum / (factor[i * size + i] as number);
  }
  for (let i = size - 1; i >= 0; i--) {
    let sum = right[i] as number;
    for (let k = i + 1; k < size; k++) sum -= (factor[k * size + i] as number) * (right[k] as number);
    right[i] = sum / (factor[i * size + i] as number);
  }
}
