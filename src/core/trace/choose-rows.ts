import type { LogChannels } from "../channels/read-log.js";
import { LogError, type LogPlace } from "../table/log-error.js";
import { type BeyondRange, refuseMarksAlone } from "./beyond-range.js";

/** A count with the place of the first. */
export interface Counted {
  readonly count: number;
  readonly first: LogPlace | null;
}

/** Rows that are no samples. */
export interface RowsLeftOut {
  readonly count: number;
  /** Those that stand between the samples `from - 1` and `to`, with the place of the first. */
  readonly between: (from: number, to: number) => Counted;
}

/** Which rows of a log are samples. */
export interface ChosenRows {
  /** The rows in order; null when all of them are samples. */
  readonly kept: Uint32Array | null;
  /** Rows without a number for time, voltage or current. */
  readonly unusable: RowsLeftOut;
  /** Those of them with a mark for a reading beyond the range. */
  readonly beyondRange: BeyondRange;
  /** Exact duplicates of the row before, merged. */
  readonly duplicates: RowsLeftOut;
  /** Rows whose time is not after the sample before, left out. */
  readonly unordered: RowsLeftOut;
}

/** Fewer samples are no log of a discharge. */
export const MIN_SAMPLES = 20;
/** No clock of a logger resolves less; closer rows are not later ones. */
const CLOCK_STEP_S = 1e-7;
/** Least share of the rows that have one fault in common where it is the log's way of writing. */
const MIN_SHARE_OF_ROWS = 0.8;
/** Beyond this many V or A a number is an overflow and no reading. */
const MAX_READING = 1e6;

/**
 * Definitions 1 and 2.
 *
 * @throws LogError `log-too-short` when fewer than 20 rows are samples, `log-over-range` where the others are marks for beyond the range
 */
export function chooseRows(channels: LogChannels, voltage: Float64Array): ChosenRows {
  const { time, current, lines } = channels;
  const orderly = orderlyRows(time, voltage, current);
  const areAll = orderly === time.length && orderly >= MIN_SAMPLES;
  const keep = new Uint32Array(areAll ? 0 : time.length);
  let kept = 0;
  const lineOfSample = (sample: number) =>
    areAll ? lines[sample] : sample < kept ? lines[keep[sample] as number] : undefined;
  const unusable = rowList(channels.lostRows, lineOfSample);
  const duplicates = rowList();
  const unordered = rowList();
  const beyond = { voltage: markedRows(), current: markedRows() };
  const beyondRange = { ...beyond, log: { time, voltage, current, lines, ...columnsOf(channels) } };
  if (areAll) return { kept: null, unusable, beyondRange, duplicates, unordered };
  const all = everyChannel(channels);
  for (let row = 0; row < time.length; row++) {
    const before = kept > 0 ? (keep[kept - 1] as number) : -1;
    if (!isReading(voltage[row] as number) || !isReading(current[row] as number)) {
      unusable.add(kept, lines[row]);
      if (isBeyondRange(voltage[row] as number)) beyond.voltage.add(row, kept);
      if (isBeyondRange(current[row] as number)) beyond.current.add(row, kept);
    } else if (before >= 0 && !((time[row] as number) - (time[before] as number) >= CLOCK_STEP_S)) {
      const repeats = all.every((values) => Object.is(values[row], values[before]));
      (repeats ? duplicates : unordered).add(kept, lines[row]);
    } else keep[kept++] = row;
  }
  if (kept < MIN_SAMPLES) {
    refuseMarksAlone(beyondRange);
    throw tooShort(kept, time.length, { unusable, duplicates, unordered }, causeOf(time, voltage, current));
  }
  return { kept: keep.subarray(0, kept), unusable, beyondRange, duplicates, unordered };
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
const isBeyondRange = (value: number): boolean => Math.abs(value) > MAX_READING;

const columnsOf = ({ columns }: LogChannels): Pick<LogChannels, "columns"> => (columns ? { columns } : {});

function markedRows() {
  const [rows, before]: [number[], number[]] = [[], []];
  return {
    rows,
    before,
    add(row: number, samplesBefore: number) {
      rows.push(row);
      before.push(samplesBefore);
    },
  };
}

function everyChannel(channels: LogChannels): Float64Array[] {
  const { time, voltage, current, temperatures, cells, power, charge, energy } = channels;
  const all = [time, voltage, current, ...temperatures, ...cells, power, charge, energy];
  return all.filter((values) => values !== null);
}

const NO_ROWS: Counted = { count: 0, first: null };

/**
 * Rows that are left out, each with the number of samples before it and its line.
 *
 * @param lost further rows, of which only the first one's line is known: they count unless all of them come later
 * @param lineOfSample line of a sample
 */
function rowList(lost = NO_ROWS, lineOfSample: (sample: number) => number | undefined = () => undefined) {
  const before: number[] = [];
  const lineOf: (number | undefined)[] = [];
  return {
    get count() {
      return lost.count + before.length;
    },
    add(samplesBefore: number, line: number | undefined) {
      before.push(samplesBefore);
      lineOf.push(line);
    },
    between(from: number, to: number): Counted {
      const first = firstAtOrAbove(before, from);
      const end = firstAtOrAbove(before, to + 1);
      const line = end > first ? lineOf[first] : undefined;
      const found: Counted = { count: end - first, first: line === undefined ? null : { line } };
      const isLater = (lost.first?.line ?? 0) > (lineOfSample(to) ?? Number.POSITIVE_INFINITY);
      if (lost.count === 0 || isLater) return found;
      return { count: found.count + lost.count, first: lost.first ?? found.first };
    },
  };
}

/** Index of the first of rising numbers that is not below `least`; their length when there is none. */
function firstAtOrAbove(rising: readonly number[], least: number): number {
  let [low, high] = [0, rising.length];
  while (low < high) {
    const middle = (low + high) >>> 1;
    if ((rising[middle] as number) < least) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** What makes most rows of a log useless at once, with what to do about it; null where it is nothing known. */
function causeOf(time: Float64Array, voltage: Float64Array, current: Float64Array): string | null {
  let [backwards, voltageAlone, currentAlone] = [0, 0, 0];
  for (let row = 0; row < time.length; row++) {
    if ((time[row] as number) < (time[row - 1] ?? Number.NEGATIVE_INFINITY)) backwards++;
    const [hasVoltage, hasCurrent] = [isReading(voltage[row] as number), isReading(current[row] as number)];
    if (hasVoltage && !hasCurrent) voltageAlone++;
    if (hasCurrent && !hasVoltage) currentAlone++;
  }
  if (backwards > MIN_SHARE_OF_ROWS * (time.length - 1)) {
    return "The rows run backwards in time, the newest first. Sort them by their time, the oldest first.";
  }
  if (voltageAlone + currentAlone > MIN_SHARE_OF_ROWS * time.length && Math.min(voltageAlone, currentAlone) > 1) {
    return `Voltage and current stand in rows of their own: ${voltageAlone} rows have a voltage alone, ${currentAlone} a current alone. Have the logger write both in each row.`;
  }
  return null;
}

function tooShort(
  kept: number,
  rows: number,
  { unusable, duplicates, unordered }: Pick<ChosenRows, "unusable" | "duplicates" | "unordered">,
  cause: string | null,
): LogError {
  const place = (left: RowsLeftOut) => left.between(0, rows).first;
  const [withoutNumber, notRising] = [place(unusable), place(unordered)];
  return new LogError(
    "log-too-short",
    `Only ${kept} of the log's ${rows} rows can be used; at least ${MIN_SAMPLES} are needed. Rows without a number for voltage or current: ${unusable.count}; with a time that does not rise: ${unordered.count + duplicates.count}. ${cause ?? "Log the whole discharge, several times a second."}`,
    [
      ...(withoutNumber ? [{ ...withoutNumber, message: "first row without a number for voltage or current" }] : []),
      ...(notRising ? [{ ...notRising, message: "first row whose time does not rise" }] : []),
    ],
  );
}
