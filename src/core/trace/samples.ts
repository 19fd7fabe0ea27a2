import type { LogChannels } from "../channels/read-log.js";
import { LogError, type LogPlace } from "../table/log-error.js";
import { medianOfThree } from "./spikes.js";

/** A count with the place of the first. */
export interface Counted {
  readonly count: number;
  readonly first: LogPlace | null;
}

/** The usable rows of a log in rising time, discharge positive. Times are the log's own, s. */
export interface Samples {
  readonly time: Float64Array;
  /** As sensed, V. */
  readonly voltage: Float64Array;
  readonly current: Float64Array;
  readonly temperature: Float64Array | null;
  readonly lowestCell: Float64Array | null;
  readonly loggedPower: Float64Array | null;
  /** Ah. */
  readonly loggedCharge: Float64Array | null;
  /** Wh. */
  readonly loggedEnergy: Float64Array | null;
  /** Rows without a number for time, voltage or current. */
  readonly unusable: Counted;
  /** Exact duplicates of the row before, merged. */
  readonly duplicates: Counted;
  /** Rows whose time is not after the sample before, left out. */
  readonly unordered: Counted;
  readonly turned: boolean;
  /** Line of the log at which each sample stands; empty where rows have no lines. */
  readonly lines: Uint32Array;
}

const FEWEST_SAMPLES = 20;
/** No clock of a logger resolves less; closer rows are not later ones. */
const CLOCK_STEP_S = 1e-7;
/** Beyond this many V or A a number is an overflow and no reading. */
const LARGEST_READING = 1e6;
const HOTTEST_READING_C = 1e4;
/** A temperature that is missing for longer than this was not logged. */
const LONGEST_TEMPERATURE_GAP_S = 10;

/** Definitions 1 to 4: which rows are samples, in which order, with which sign. */
export function toSamples(channels: LogChannels, series: number): Samples {
  const voltage = packVoltage(channels, series);
  const temperature = hottest(channels.temperatures);
  const all = everyChannel(channels);
  const keep = new Uint32Array(channels.time.length);
  let kept = 0;
  const unusable = counter(channels.lostRows);
  const duplicates = counter();
  const unordered = counter();
  for (let row = 0; row < keep.length; row++) {
    const before = kept > 0 ? (keep[kept - 1] as number) : -1;
    if (!isReading(voltage[row]) || !isReading(channels.current[row])) unusable.add(channels.lines[row]);
    else if (before >= 0 && !((channels.time[row] as number) - (channels.time[before] as number) >= CLOCK_STEP_S)) {
      const repeats = all.every((values) => Object.is(values[row], values[before]));
      (repeats ? duplicates : unordered).add(channels.lines[row]);
    } else keep[kept++] = row;
  }
  if (kept < FEWEST_SAMPLES) {
    throw new LogError(
      "log-too-short",
      `Only ${kept} of the log's ${keep.length} rows can be used; at least ${FEWEST_SAMPLES} are needed. Rows without a number for voltage or current: ${unusable.count}; with a time that does not rise: ${unordered.count + duplicates.count}. Log the whole discharge, several times a second.`,
      [
        ...(unusable.first
          ? [{ ...unusable.first, message: "first row without a number for voltage or current" }]
          : []),
        ...(unordered.first ? [{ ...unordered.first, message: "first row whose time does not rise" }] : []),
      ],
    );
  }
  const pick = (values: Float64Array) => (kept === values.length ? values : picked(values, keep.subarray(0, kept)));
  const current = Float64Array.from(pick(channels.current));
  const turned = turnWhenNegative(current);
  const time = pick(channels.time);
  const lineOf = (row: number) => channels.lines[row] as number;
  return {
    time,
    voltage: pick(voltage),
    current,
    temperature: temperature && fillGaps(time, pick(temperature)),
    lowestCell: channels.cells.length > 0 ? pick(lowest(channels.cells)) : null,
    loggedPower: channels.power && pick(channels.power),
    loggedCharge: channels.charge && pick(channels.charge),
    loggedEnergy: channels.energy && pick(channels.energy),
    unusable,
    duplicates,
    unordered,
    turned,
    lines: kept === keep.length || channels.lines.length === 0 ? channels.lines : keep.slice(0, kept).map(lineOf),
  };
}

function picked(values: Float64Array, rows: Uint32Array): Float64Array {
  const chosen = new Float64Array(rows.length);
  for (let i = 0; i < rows.length; i++) chosen[i] = values[rows[i] as number] as number;
  return chosen;
}

const isReading = (value: number | undefined): boolean => value !== undefined && Math.abs(value) <= LARGEST_READING;

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

/** The pack's voltage, or the sum of its cells where only those were logged. */
function packVoltage(channels: LogChannels, series: number): Float64Array {
  if (channels.voltage) return channels.voltage;
  if (channels.cells.length !== series) {
    throw new LogError(
      "log-column-missing",
      `The log has ${channels.cells.length} cell voltages and no pack voltage, but the pack has ${series} cells in series. Log the pack voltage, or every cell.`,
    );
  }
  return channels.time.map((_, row) => channels.cells.reduce((sum, cell) => sum + (cell[row] as number), 0));
}

function lowest(cells: readonly Float64Array[]): Float64Array {
  const [first, ...others] = cells as [Float64Array, ...Float64Array[]];
  return first.map((value, row) => others.reduce((least, cell) => Math.min(least, cell[row] as number), value));
}

function hottest(probes: readonly Float64Array[]): Float64Array | null {
  const [first, ...others] = probes;
  if (!first) return null;
  if (others.length === 0) return first;
  const hotter = (a: number, b: number) => (Number.isNaN(a) ? b : Number.isNaN(b) ? a : Math.max(a, b));
  return first.map((value, row) => others.reduce((most, probe) => hotter(most, probe[row] as number), value));
}

function turnWhenNegative(current: Float64Array): boolean {
  let least = 0;
  let most = 0;
  for (let i = 0; i < current.length; i++) {
    const middle = medianOfThree(current, i);
    if (middle < least) least = middle;
    if (middle > most) most = middle;
  }
  if (-least <= most) return false;
  for (let i = 0; i < current.length; i++) current[i] = 0 - (current[i] as number);
  return true;
}

/**
 * Missing values interpolated in time between their neighbours, the nearest value at the ends; null when all miss, or for
 * too long a time to be made up.
 */
function fillGaps(time: Float64Array, values: Float64Array): Float64Array | null {
  const known = (value: number) => Math.abs(value) <= HOTTEST_READING_C;
  const firstKnown = values.findIndex(known);
  if (firstKnown < 0) return null;
  if (values.every(known)) return values;
  const filled = Float64Array.from(values);
  filled.fill(values[firstKnown] as number, 0, firstKnown);
  let left = firstKnown;
  let longest = (time[firstKnown] as number) - (time[0] as number);
  for (let i = firstKnown + 1; i < values.length; i++) {
    if (!known(values[i] as number)) continue;
    longest = Math.max(longest, i > left + 1 ? (time[i] as number) - (time[left] as number) : 0);
    for (let gap = left + 1; gap < i; gap++) {
      const share = ((time[gap] as number) - (time[left] as number)) / ((time[i] as number) - (time[left] as number));
      filled[gap] = (values[left] as number) + ((values[i] as number) - (values[left] as number)) * share;
    }
    left = i;
  }
  longest = Math.max(longest, (time[values.length - 1] as number) - (time[left] as number));
  return longest > LONGEST_TEMPERATURE_GAP_S ? null : filled.fill(values[left] as number, left);
}
