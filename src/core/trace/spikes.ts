/** The middle one of a sample and its two neighbours, which a single spiked sample does not move; at the ends the sample. */
export function medianOfThree(values: Float64Array, i: number): number {
  const value = values[i] as number;
  if (i === 0 || i === values.length - 1) return value;
  const before = values[i - 1] as number;
  const after = values[i + 1] as number;
  if (before < value) return Math.min(value, Math.max(before, after));
  return Math.max(value, Math.min(before, after));
}
