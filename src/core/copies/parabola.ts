/**
 * Weights that give the middle of the parabola fitted by least squares to 2 m + 1 evenly spaced values:
 * (3 m^2 + 3 m - 1 - 5 k^2) * 3 / ((2 m - 1)(2 m + 1)(2 m + 3)); A. Savitzky and M. J. E. Golay, Analytical Chemistry 36
 * (1964) 1627 (closed form from memory).
 *
 * @param neighbours m, the values on each side of the middle
 */
export function parabolaWeights(neighbours: number): Float64Array {
  const m = neighbours;
  return Float64Array.from({ length: 2 * m + 1 }, (_, i) => {
    const k = i - m;
    return (3 * (3 * m * m + 3 * m - 1 - 5 * k * k)) / ((2 * m - 1) * (2 * m + 1) * (2 * m + 3));
  });
}

/** The value in the middle of `values`, from the index `first` on, less the parabola with these weights. */
export function lessParabola(values: Float64Array, first: number, weights: Float64Array): number {
  const middle = values[first + (weights.length >> 1)] as number;
  let course = 0;
  for (let k = 0; k < weights.length; k++) course += (weights[k] as number) * ((values[first + k] as number) - middle);
  return -course;
}
