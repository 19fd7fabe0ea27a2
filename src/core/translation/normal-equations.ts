/**
 * Adds J^T J to the lower triangle of a symmetric matrix.
 *
 * @param columns J by columns: `points` numbers for each of its `size` unknowns
 * @param matrix `size` rows of `size` numbers
 */
export function addGram(columns: Float64Array, points: number, matrix: Float64Array, size: number): void {
  for (let i = 0; i < size; i++) {
    const row = i * points;
    let j = 0;
    // Four sums at a time do not wait for each other; each adds its points in their order.
    for (; j + 3 <= i; j += 4) {
      const at = i * size + j;
      let [c0, c1, c2, c3] = [j * points, (j + 1) * points, (j + 2) * points, (j + 3) * points];
      let s0 = matrix[at] as number;
      let s1 = matrix[at + 1] as number;
      let s2 = matrix[at + 2] as number;
      let s3 = matrix[at + 3] as number;
      for (let k = row; k < row + points; k++) {
        const value = columns[k] as number;
        s0 += value * (columns[c0++] as number);
        s1 += value * (columns[c1++] as number);
        s2 += value * (columns[c2++] as number);
        s3 += value * (columns[c3++] as number);
      }
      matrix[at] = s0;
      matrix[at + 1] = s1;
      matrix[at + 2] = s2;
      matrix[at + 3] = s3;
    }
    for (; j <= i; j++) {
      let column = j * points;
      let sum = matrix[i * size + j] as number;
      for (let k = row; k < row + points; k++) sum += (columns[k] as number) * (columns[column++] as number);
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
