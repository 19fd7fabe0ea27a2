/** How far the counters count that clocks of loggers have, of 15, 16, 24, 31 and 32 bits, and the units in which they do, s. */
const COUNTS = [0x8000, 0x1_0000, 0x100_0000, 0x8000_0000, 0x1_0000_0000];
const UNITS_S = [1e-6, 1e-5, 1e-4, 1e-3, 0.01, 0.1, 1];
/** A counter goes on past its end by no more than so many of the log's usual intervals. */
const MAX_INTERVALS = 10;
/** The numbers of a counter that wraps as late as this, s, may be counted from its first one, as large numbers are read. */
const MIN_SHIFTED_S = 2000;
/** What digits leave open of a step, as a share of the period. */
const TOLERANCE = 1e-9;

/** How a counter of time wraps. */
export interface WrappedCounter {
  /** Of the counter, s. */
  readonly periodS: number;
  readonly turns: number;
  /** The first row that has wrapped, from 0. */
  readonly row: number;
}

/**
 * Carries on a counter of time of 15, 16, 24, 31 or 32 bits, in us, ms, s or a tenth or hundredth of these, that begins again at nothing, or at its lowest number where it has a
 * sign. It is one where every step back is such a turn, and the time between is that of a few rows: else nothing is done, for the clock was set
 * or another log begins.
 *
 * @param seconds what each row reads; changed in place where it wraps
 * @returns null where it does not wrap
 */
export function unwrapCounter(seconds: Float64Array): WrappedCounter | null {
  const back: number[] = [];
  const steps: number[] = [];
  let [lowest, highest, before] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, Number.NaN];
  for (let row = 0; row < seconds.length; row++) {
    const now = seconds[row] as number;
    if (Number.isNaN(now)) continue;
    lowest = Math.min(lowest, now);
    highest = Math.max(highest, now);
    if (now < before) back.push(row);
    before = now;
  }
  const [first] = back;
  if (first === undefined) return null;
  for (let row = 1; row < seconds.length; row++) {
    const step = (seconds[row] as number) - (seconds[row - 1] as number);
    if (step > 0) steps.push(step);
  }
  steps.sort((a, b) => a - b);
  const most = MAX_INTERVALS * (steps[steps.length >> 1] ?? 0);
  const isInRange = (periodS: number) =>
    (periodS > MIN_SHIFTED_S && highest - lowest < periodS) ||
    (lowest >= 0 && highest < periodS * (1 + TOLERANCE)) ||
    (lowest >= -periodS / 2 && highest < periodS / 2);
  const goesOn = (periodS: number) =>
    back.every((row) => {
      const step = (seconds[row] as number) - lastBefore(seconds, row) + periodS;
      return step > -TOLERANCE * periodS && step <= most;
    });
  const periodS = UNITS_S.flatMap((unit) => COUNTS.map((count) => count * unit)).find(
    (period) => most < period / 2 && isInRange(period) && goesOn(period),
  );
  if (periodS === undefined) return null;
  let turns = 0;
  for (let row = first; row < seconds.length; row++) {
    if (row === back[turns]) turns++;
    seconds[row] = (seconds[row] as number) + turns * periodS;
  }
  return { periodS, turns, row: first };
}

/** The last number before a row. */
function lastBefore(seconds: Float64Array, row: number): number {
  let at = row - 1;
  while (at > 0 && Number.isNaN(seconds[at])) at--;
  return seconds[at] as number;
}
