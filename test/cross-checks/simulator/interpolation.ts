/**
 * A monotone cubic through points with rising x: slopes by the harmonic mean of F. N. Fritsch and J. Butland, SIAM J. Sci. Stat.
 * Comput. 5 (1984) 300 (from memory). Beyond the ends it goes on as a line.
 */
export function monotoneCurve(points: readonly (readonly [number, number])[]): (x: number) => number {
  const xs = Float64Array.from(points, ([x]) => x);
  const ys = Float64Array.from(points, ([, y]) => y);
  const last = xs.length - 1;
  const secant = (i: number) =>
    ((ys[i + 1] as number) - (ys[i] as number)) / ((xs[i + 1] as number) - (xs[i] as number));
  const slopes = xs.map((_, i) => {
    if (i === 0) return secant(0);
    if (i === last) return secant(last - 1);
    const [before, after] = [secant(i - 1), secant(i)];
    return before * after > 0 ? (2 * before * after) / (before + after) : 0;
  });
  return (x) => {
    if (x <= (xs[0] as number)) return (ys[0] as number) + (slopes[0] as number) * (x - (xs[0] as number));
    if (x >= (xs[last] as number)) return (ys[last] as number) + (slopes[last] as number) * (x - (xs[last] as number));
    let i = 0;
    while ((xs[i + 1] as number) < x) i++;
    const width = (xs[i + 1] as number) - (xs[i] as number);
    const s = (x - (xs[i] as number)) / width;
    const [y0, y1] = [ys[i] as number, ys[i + 1] as number];
    const [m0, m1] = [width * (slopes[i] as number), width * (slopes[i + 1] as number)];
    return y0 + s * (m0 + s * (3 * (y1 - y0) - 2 * m0 - m1 + s * (m0 + m1 - 2 * (y1 - y0))));
  };
}
