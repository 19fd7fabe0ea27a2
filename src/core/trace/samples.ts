import type { LogChannels } from "../channels/read-log.js";
import { LogError } from "../table/log-error.js";
import { type BeyondRange, refuseMarksAlone } from "./beyond-range.js";
import { chooseRows, type RowsLeftOut } from "./choose-rows.js";
import { dischargeSign, knownDirection } from "./direction.js";

/** The usable rows of a log in rising time, discharge positive. Times are the log's own, s. */
export interface Samples {
  readonly time: Float64Array;
  /** As sensed, V. */
  readonly voltage: Float64Array;
  readonly current: Float64Array;
  readonly temperature: Float64Array | null;
  /** Each probe's own readings, degC; NaN where it gave none. */
  readonly probes: readonly Float64Array[];
  readonly lowestCell: Float64Array | null;
  /** The voltage of each logged cell; empty when none was. */
  readonly cells: readonly Float64Array[];
  /** Mean of the cells where all were logged, else the pack's voltage over their number. */
  readonly meanCell: Float64Array | null;
  readonly loggedPower: Float64Array | null;
  /** Ah. */
  readonly loggedCharge: Float64Array | null;
  /** Wh. */
  readonly loggedEnergy: Float64Array | null;
  /** Rows without a number for time, voltage or current. */
  readonly unusable: RowsLeftOut;
  /** Those of them with a mark for a reading beyond the range. */
  readonly beyondRange: BeyondRange;
  /** Exact duplicates of the row before, merged. */
  readonly duplicates: RowsLeftOut;
  /** Rows whose time is not after the sample before, left out. */
  readonly unordered: RowsLeftOut;
  readonly turned: boolean;
  /** Line of the log at which each sample stands; empty where rows have no lines. */
  readonly lines: Uint32Array;
}

const HOTTEST_READING_C = 1e4;
/** A temperature that is missing for longer than this was not logged: 10 s, and what a clock and a row of another rate add. */
const MAX_TEMPERATURE_GAP_S = 10.5;

/**
 * Definitions 1 to 4: which rows are samples, in which order, with which sign.
 *
 * @throws LogError `log-too-short` when too few rows are samples, `log-direction-unknown` when the pack does not tell discharge from charge, `log-over-range` where that is
 * since marks stand in place of readings
 */
export function toSamples(channels: LogChannels, series: number): Samples {
  const voltage = packVoltage(channels, series);
  const temperature = hottest(channels.temperatures);
  const rows = chooseRows(channels, voltage);
  const { unusable, beyondRange, duplicates, unordered, kept } = rows;
  const pick = (values: Float64Array) => (kept ? picked(values, kept) : values);
  const current = pick(channels.current);
  const time = pick(channels.time);
  const volts = pick(voltage);
  const sign = channels.dischargeSign ?? dischargeSign(time, volts, current);
  if (sign === null) refuseMarksAlone(beyondRange);
  const turned = knownDirection(sign) < 0;
  const lines = channels.lines;
  return {
    time,
    voltage: volts,
    current: turned ? negated(current) : current,
    temperature: temperature && fillGaps(time, pick(temperature)),
    probes: channels.temperatures.map(pick),
    lowestCell: channels.cells.length > 0 ? pick(lowest(channels.cells)) : null,
    cells: channels.cells.map(pick),
    meanCell: channels.cells.length > 0 ? pick(meanCell(channels.cells, voltage, series)) : null,
    loggedPower: channels.power && pick(channels.power),
    loggedCharge: channels.charge && pick(channels.charge),
    loggedEnergy: channels.energy && pick(channels.energy),
    unusable,
    beyondRange,
    duplicates,
    unordered,
    turned,
    lines: kept && lines.length > 0 ? kept.map((row) => lines[row] as number) : lines,
  };
}

function picked(values: Float64Array, rows: Uint32Array): Float64Array {
  const chosen = new Float64Array(rows.length);
  for (let i = 0; i < rows.length; i++) chosen[i] = values[rows[i] as number] as number;
  return chosen;
}

/** The pack's voltage, or the sum of its cells where only those were logged. */
function packVoltage(channels: LogChannels, series: number): Float64Array {
  if (channels.voltage) return channels.voltage;
  if (channels.cells.length !== series) {
    const advice =
      channels.cells.length < series
        ? "Log the pack voltage, or every cell."
        : "Declare as many cells in series as the pack has, or log the pack voltage.";
    throw new LogError(
      "log-column-missing",
      `The log has ${channels.cells.length} cell voltages and no pack voltage, but the pack has ${series} cells in series. ${advice}`,
    );
  }
  return channels.time.map((_, row) => channels.cells.reduce((sum, cell) => sum + (cell[row] as number), 0));
}

function lowest(cells: readonly Float64Array[]): Float64Array {
  const [first, ...others] = cells as [Float64Array, ...Float64Array[]];
  return first.map((value, row) => others.reduce((least, cell) => Math.min(least, cell[row] as number), value));
}

function meanCell(cells: readonly Float64Array[], voltage: Float64Array, series: number): Float64Array {
  const summed = cells.length === series;
  const total = (row: number) => cells.reduce((sum, cell) => sum + (cell[row] as number), 0);
  return voltage.map((volts, row) => (summed ? total(row) : volts) / series);
}

function hottest(probes: readonly Float64Array[]): Float64Array | null {
  const [first, ...others] = probes;
  if (!first) return null;
  if (others.length === 0) return first;
  const hotter = (a: number, b: number) => (Number.isNaN(a) ? b : Number.isNaN(b) ? a : Math.max(a, b));
  return first.map((value, row) => others.reduce((most, probe) => hotter(most, probe[row] as number), value));
}

function negated(values: Float64Array): Float64Array {
  const turned = new Float64Array(values.length);
  for (let i = 0; i < turned.length; i++) turned[i] = 0 - (values[i] as number);
  return turned;
}

function holdsWithin(values: Float64Array, largest: number): boolean {
  for (let i = 0; i < values.length; i++) if (!(Math.abs(values[i] as number) <= largest)) return false;
  return true;
}

/** Missing values interpolated in time between their neighbours, the nearest value at the ends; null when all miss. */
function fillGaps(time: Float64Array, values: Float64Array): Float64Array | null {
  if (holdsWithin(values, HOTTEST_READING_C)) return values;
  const firstKnown = values.findIndex(isTemperature);
  if (firstKnown < 0) return null;
  const filled = Float64Array.from(values);
  filled.fill(values[firstKnown] as number, 0, firstKnown);
  let left = firstKnown;
  for (let i = firstKnown + 1; i < values.length; i++) {
    if (!isTemperature(values[i] as number)) continue;
    for (let gap = left + 1; gap < i; gap++) {
      const share = ((time[gap] as number) - (time[left] as number)) / ((time[i] as number) - (time[left] as number));
      filled[gap] = (values[left] as number) + ((values[i] as number) - (values[left] as number)) * share;
    }
    left = i;
  }
  return filled.fill(values[left] as number, left);
}

const isTemperature = (celsius: number): boolean => Math.abs(celsius) <= HOTTEST_READING_C;

/** Definition 3: whether no probe reads for longer than 10.5 s between the samples `from` and `to`. */
export function lacksTemperature({ time, probes }: Samples, from: number, to: number): boolean {
  const reads = (i: number) => probes.some((probe) => isTemperature(probe[i] as number));
  const last = Math.min(to, time.length - 1);
  let known = time[from] as number;
  let isMissing = false;
  for (let i = from; i <= last; i++) {
    const isRead = reads(i);
    isMissing ||= !isRead;
    if (!isRead && i < last) continue;
    if (isMissing && (time[i] as number) - known > MAX_TEMPERATURE_GAP_S) return true;
    known = time[i] as number;
    isMissing = false;
  }
  return false;
}
