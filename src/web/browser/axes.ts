const TICKS = 5;

/** Least and largest of some values; 0 to 1 where there is none. */
export function extentOf(values: Iterable<number>): [number, number] {
  let [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (const value of values) {
    if (value < low) low = value;
    if (value > high) high = value;
  }
  return low <= high ? [low, high] : [0, 1];
}

/** Round numbers between two values: steps of 1, 2 or 5 in a decimal place. */
export function ticksOf(low: number, high: number, count = TICKS): number[] {
  const rough = (high - low || 1) / count;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = ([1, 2, 5, 10].find((factor) => factor * power >= rough) ?? 10) * power;
  const from = Math.ceil(low / step);
  const ticks = Math.max(0, Math.floor(high / step) - from + 1);
  return Array.from({ length: ticks }, (_, at) => (from + at) * step);
}

/** A tick of an axis, with a minus sign. */
export const numberText = (value: number): string => String(Number(value.toPrecision(6))).replace("-", "\u2212");
