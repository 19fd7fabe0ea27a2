/** The middle one of a sample and its two neighbours, which a single spiked sample does not move; at the ends the sample. */
export function medianOfThree(values: Float64Array, i: number): number {
  const value = values[i] as number;
  if (i === 0 || i === values.length - 1) return value;
  const before = values[i - 1] as number;
  const after = values[i + 1] as number;
  if (before < value) return Math.min(value, Math.max(before, after));
  return Math.max(value, Math.min(before, after));
}

/** The least and the greatest of the medians of three; those of nothing are infinite, the wrong way round. */
export function extremesOfMedians(values: Float64Array): { readonly least: number; readonly most: number } {
  let least = Number.POSITIVE_INFINITY;
  let most = Number.NEGATIVE_INFINITY;
  let before = Number.NaN;
  for (let i = 0; i < values.length; i++) {
    const value = values[i] as number;
    // Two of the three are beyond what their median is beyond, so one of any two of them is.
    if (value > most || before > most || value < least || before < least) {
      const middle = medianOfThree(values, i);
      least = Math.min(least, middle);
      most = Math.max(most, middle);
    }
    before = value;
  }
  return { least, most };
}
