/**
 * Shares that sum to 1 with none above a bound, otherwise in the proportions of the weights: what a share is cut by is spread over the
 * others. Where the bound is below 1/n, all shares are equal.
 *
 * @param weights at least one, none negative, not all zero
 * @param bound the largest share
 */
export function boundedShares(weights: readonly number[], bound: number): number[] {
  const count = weights.length;
  if (bound * count <= 1) return weights.map(() => 1 / count);
  const isCut = weights.map(() => false);
  for (;;) {
    const free = 1 - bound * isCut.filter(Boolean).length;
    const sum = weights.reduce((total, weight, i) => total + (isCut[i] ? 0 : weight), 0);
    const open = isCut.filter((cut) => !cut).length;
    const shares = weights.map((weight, i) => {
      if (isCut[i]) return bound;
      return sum > 0 ? (free * weight) / sum : free / open;
    });
    const above = shares.map((share, i) => !isCut[i] && share > bound);
    if (!above.includes(true)) return shares;
    above.forEach((cut, i) => {
      if (cut) isCut[i] = true;
    });
  }
}
