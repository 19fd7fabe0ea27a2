/**
 * The middle of the values, the mean of the two middle ones for an even number; NaN for none. Does not change its input.
 * Selects by Hoare's partitioning around the middle element, without sorting everything.
 */
export function median(values: ArrayLike<number>): number {
  return medianInPlace(Float64Array.from(values));
}

/** The same of values that nobody needs in their order any more. */
export function medianInPlace(values: Float64Array): number {
  if (values.length === 0) return Number.NaN;
  const middle = values.length >>> 1;
  const upper = select(values, middle);
  if (values.length % 2 === 1) return upper;
  let lower = values[0] as number;
  for (let i = 1; i < middle; i++) lower = Math.max(lower, values[i] as number);
  return (lower + upper) / 2;
}

/** The value that would stand at `rank` if sorted; smaller ones end up before it, larger ones behind. */
function select(values: Float64Array, rank: number): number {
  let low = 0;
  let high = values.length - 1;
  while (low < high) {
    const pivot = values[(low + high) >>> 1] as number;
    let left = low;
    let right = high;
    while (left <= right) {
      while ((values[left] as number) < pivot) left++;
      while ((values[right] as number) > pivot) right--;
      if (left > right) break;
      const swapped = values[left] as number;
      values[left++] = values[right] as number;
      values[right--] = swapped;
    }
    if (rank <= right) high = right;
    else if (rank >= left) low = left;
    else break;
  }
  return values[rank] as number;
}
