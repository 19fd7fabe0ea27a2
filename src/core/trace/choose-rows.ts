import type { LogChannels } from "../channels/read-log.js";
import { LogError, type LogPlace } from "../table/log-error.js";

/** A count with the place of the first. */
export interface Counted {
  readonly count: number;
  readonly first: LogPlace | null;
}

/** Which rows of a log are samples. */
export interface ChosenRows {
  /** The rows in order; null when all of them are samples. */
  readonly kept: Uint32Array | null;
  /** Rows without a number for time, voltage or current. */
  readonly unusable: Counted;
  /** Exact duplicates of the row before, merged. */
  readonly duplicates: Counted;
  /** Rows whose time is not after the sample before, left out. */
  readonly unordered: Counted;
}

const MIN_SAMPLES = 20;
/** No clock of a logger resolves less; closer rows are not later ones. */
const CLOCK_STEP_S = 1e-7;
/** Beyond this many V or A a number is an overflow and no reading. */
const MAX_READING = 1e6;

/**
 * Definitions 1 and 2.
 *
 * @throws LogError `log-too-short` when fewer than 20 rows are samples
 */
export function chooseRows(channels: LogChannels, voltage: Float64Array): ChosenRows {
  const { time, current, lines } = channels;
  const orderly = orderlyRows(time, voltage, current);
  const unusable = counter(channels.lostRows);
  const duplicates = counter();
  const unordered = counter();
  if (orderly === time.length && orderly >= MIN_SAMPLES) return { kept: null, unusable, duplicates, unordered };
  const all = everyChannel(channels);
  const keep = new Uint32Array(time.length);
  let kept = 0;
  for (let row = 0; row < keep.length; row++) {
    const before = kept > 0 ? (keep[kept - 1] as number) : -1;
    if (!isReading(voltage[row] as number) || !isReading(current[row] as number)) unusable.add(lines[row]);
    else if (before >= 0 && !((time[row] as number) - (time[before] as number) >= CLOCK_STEP_S)) {
      const repeats = all.every((values) => Object.is(values[row], values[before]));
      (repeats ? duplicates : unordered).add(lines[row]);
    } else keep[kept++] = row;
  }
  if (kept < MIN_SAMPLES) throw tooShort(kept, keep.length, { unusable, duplicates, unordered });
  return { kept: keep.subarray(0, kept), unusable, duplicates, unordered };
}

/** How many rows from the first on are samples. */
function orderlyRows(time: Float64Array, voltage: Float64Array, current: Float64Array): number {
  let before = Number.NEGATIVE_INFINITY;
  for (let row = 0; row < time.length; row++) {
    const now = time[row] as number;
    if (!isReading(voltage[row] as number) || !isReading(current[row] as number) || !(now - before >= CLOCK_STEP_S)) {
      return row;
    }
    before = now;
  }
  return time.length;
}

const isReading = (value: number): boolean => Math.abs(value) <= MAX_READING;

function everyChannel(channels: LogChannels): Float64Array[] {
  const { time, voltage, current, temperatures, cells, power, charge, energy } = channels;
  const all = [time, voltage, current, ...temperatures, ...cells, power, charge, energy];
  return all.filter((values) => values !== null);
}

function counter({ count, first }: Counted = { count: 0, first: null }) {
  const counted = {
    count,
    first,
    add(line: number | undefined) {
      counted.count++;
      if (line !== undefined) counted.first ??= { line };
    },
  };
  return counted;
}

function tooShort(kept: number, rows: number, { unusable, duplicates, unordered }: Omit<ChosenRows, "kept">): LogError {
  return new LogError(
    "log-too-short",
    `Only ${kept} of the log's ${rows} rows can be used; at least ${MIN_SAMPLES} are needed. Rows without a number for voltage or current: ${unusable.count}; with a time that does not rise: ${unordered.count + duplicates.count}. Log the whole discharge, several times a second.`,
    [
      ...(unusable.first ? [{ ...unusable.first, message: "first row without a number for voltage or current" }] : []),
      ...(unordered.first ? [{ ...unordered.first, message: "first row whose time does not rise" }] : []),
    ],
  );
}
