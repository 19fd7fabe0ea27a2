import library from "jstat";

const { normal } = library.jStat;

/** P(X <= x) of a standard normal X; 0 and 1 for minus and plus infinity. */
export function normalProbability(x: number): number {
  if (!Number.isFinite(x)) return x > 0 ? 1 : 0;
  return normal.cdf(x, 0, 1);
}
