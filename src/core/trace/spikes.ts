/** The middle one of a sample and its neighbours, which a single spiked sample does not move. */
export function medianOfThree(values: Float64Array, i: number): number {
  const value = values[i] as number;
  const before = values[i - 1] ?? value;
  const after = values[i + 1] ?? value;
  return Math.max(Math.min(before, value), Math.min(Math.max(before, value), after));
}
