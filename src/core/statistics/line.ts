/** The straight line y = intercept + slope x. */
export interface Line {
  readonly slope: number;
  readonly intercept: number;
}

/**
 * Least-squares line through the points [from, to) of two arrays, centred before summing so that large offsets cost
 * no digits. null for fewer than two points or when all x are equal.
 */
export function fitLine(x: Float64Array, y: Float64Array, from = 0, to = x.length): Line | null {
  const count = to - from;
  if (count < 2) return null;
  let meanX = 0;
  let meanY = 0;
  for (let i = from; i < to; i++) {
    meanX += (x[i] as number) / count;
    meanY += (y[i] as number) / count;
  }
  let sxx = 0;
  let sxy = 0;
  for (let i = from; i < to; i++) {
    const dx = (x[i] as number) - meanX;
    sxx += dx * dx;
    sxy += dx * ((y[i] as number) - meanY);
  }
  if (sxx === 0) return null;
  const slope = sxy / sxx;
  return { slope, intercept: meanY - slope * meanX };
}
