import { normalDistribution } from "../numerics/library.js";

/** P(X <= x) of a standard normal X; 0 and 1 for minus and plus infinity. */
export function normalProbability(x: number): number {
  if (!Number.isFinite(x)) return x > 0 ? 1 : 0;
  return normalDistribution(x, 0, 1);
}
