import type { Adjustment } from "../../model.js";

/** Rows that share a reading of the clock are spread over its step from so many on, by their median. */
const MIN_ROWS_A_TICK = 2;
/** A clock that counts more coarsely does not say when a row was logged. */
const MAX_TICK_S = 1;
const MIN_TICKS = 5;
const TOLERANCE = 1e-6;

/**
 * A clock that counts in whole steps, such as seconds, while several rows are logged in each: the rows of one step are spread evenly
 * over it. The first and the last step may be logged in part; their rows are as far apart as those of the other steps. null when the
 * clock tells the rows apart.
 */
export function spreadWithinTicks(
  seconds: Float64Array,
): { readonly seconds: Float64Array; readonly adjustment: Adjustment } | null {
  if (!isMostlyRepeated(seconds)) return null;
  const starts = startsOfTicks(seconds);
  if (!starts || starts.length < MIN_TICKS) return null;
  const counts = starts.map((from, at) => (starts[at + 1] ?? seconds.length) - from);
  const inner = [...counts.slice(1, -1)].sort((a, b) => a - b);
  const usual = inner[inner.length >> 1] ?? 1;
  if (usual < MIN_ROWS_A_TICK) return null;
  const tickS = tickOf(seconds, starts);
  if (tickS === null) return null;
  const spread = Float64Array.from(seconds);
  starts.forEach((from, at) => {
    const count = counts[at] as number;
    const isEdge = at === 0 || at === starts.length - 1;
    const rows = isEdge ? Math.max(usual, count) : count;
    const skipped = at === 0 ? rows - count : 0;
    for (let row = 0; row < count; row++) {
      spread[from + row] = (seconds[from] as number) + (tickS * (skipped + row)) / rows;
    }
  });
  return {
    seconds: spread,
    adjustment: {
      kind: "rows-spread",
      message: `The clock of the log counts in steps of ${tickS} s, with ${usual} rows in most of them. The rows of one step were spread evenly over it.`,
      before: tickS,
      after: tickS / usual,
      unit: "s",
    },
  };
}

/** At least every third row reads as the one before; a clock that goes back is none of these. */
function isMostlyRepeated(seconds: Float64Array): boolean {
  let repeated = 0;
  let before = Number.NEGATIVE_INFINITY;
  for (let row = 0; row < seconds.length; row++) {
    const now = seconds[row] as number;
    if (now < before) return false;
    if (now === before) repeated++;
    before = now;
  }
  return repeated * 3 >= seconds.length;
}

/** The rows at which the clock goes on; null when it ever goes back. */
function startsOfTicks(seconds: Float64Array): readonly number[] | null {
  const starts: number[] = [];
  for (let row = 0; row < seconds.length; row++) {
    const step = row === 0 ? 1 : (seconds[row] as number) - (seconds[row - 1] as number);
    if (step < 0) return null;
    if (step > 0) starts.push(row);
  }
  return starts;
}

/** The step of the clock, s: the smallest there is, of which all others are multiples; null when it is too coarse or there is none. */
function tickOf(seconds: Float64Array, starts: readonly number[]): number | null {
  const steps = starts.slice(1).map((row) => (seconds[row] as number) - (seconds[row - 1] as number));
  const least = steps.reduce((a, b) => Math.min(a, b), Number.POSITIVE_INFINITY);
  if (!(least <= MAX_TICK_S * (1 + TOLERANCE))) return null;
  const isWhole = steps.every(
    (step) => Math.abs(step / least - Math.round(step / least)) < TOLERANCE * (step / least) + 1e-3,
  );
  return isWhole ? Number(least.toPrecision(9)) : null;
}
