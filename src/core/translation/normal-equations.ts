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
  for (let i = rows.from; i < rows.to; i++) {
    const row = i * points;
    const to = Math.min(i + 1, columns.to);
    let j = columns.from;
    // Four sums at a time do not wait for each other; each adds its points in their order.
    for (; j + 3 < to; j += 4) {
      const at = i * size + j;
      const first = j * points;
      let s0 = matrix[at] as number;
      let s1 = matrix[at + 1] as number;
      let s2 = matrix[at + 2] as number;
      let s3 = matrix[at + 3] as number;
      for (let k = 0; k < points; k++) {
        const value = slopes[row + k] as number;
        const column = first + k;
        s0 += value * (slopes[column] as number);
        s1 += value * (slopes[column + points] as number);
        s2 += value * (slopes[column + 2 * points] as number);
        s3 += value * (slopes[column + 3 * points] as number);
      }
      matrix[at] = s0;
      matrix[at + 1] = s1;
      matrix[at + 2] = s2;
      matrix[at + 3] = s3;
    }
    for (; j < to; j++) {
      let sum = matrix[i * size + j] as number;
      for (let k = 0; k < points; k++) sum += (slopes[row + k] as number) * (slopes[j * points + k] as number);
      matrix[i * size + j] = sum;
    }
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
