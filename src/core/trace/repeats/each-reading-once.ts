import { LogError } from "../../table/log-error.js";
import { amongSamples } from "../beyond-range.js";
import { MIN_SAMPLES, type RowsLeftOut } from "../choose-rows.js";
import { valuesAlong } from "../readings-along.js";
import type { Samples } from "../samples.js";
import { loadedSamples, type RepeatedChannel, repeatedReadings, rowInterval } from "./repeated-readings.js";

/** How a log repeats its readings. Times are s. */
export interface Repeats {
  /** From one new reading to the next, of the slower of the channels that are repeated. */
  readonly intervalS: number;
  /** Of each channel; null where its rows have readings of their own. */
  readonly voltageS: number | null;
  readonly currentS: number | null;
  /** From row to row: the instant of a reading is known to within it. */
  readonly rowS: number;
  /** Samples that were left out, since they repeat the reading of one before. */
  readonly leftOut: number;
}

export interface ReadOnce {
  readonly samples: Samples;
  /** null where each row has readings of its own, and the samples are all of them. */
  readonly repeats: Repeats | null;
}

/** Channels whose intervals differ by no more than this share, and of whose changes so many are in the same row, are read together. */
const SAME_INTERVAL_SHARE = 0.1;
const MIN_TOGETHER_SHARE = 0.7;
/** Readings of one meter that come apart by a smaller share of its interval are one. */
const ONE_READING_SHARE = 0.5;

/**
 * Definition 2a: each reading once, at the first sample that has it, where a log repeats them. Where voltage and current come at instants of their own, the samples
 * are those of the slower one, and the other is taken on the line between its own readings.
 *
 * @param currentIsDerived the current is the logged power over the voltage, so that the power tells when it was read
 * @throws LogError `log-too-short` when too few readings are left
 */
export function eachReadingOnce(samples: Samples, currentIsDerived: boolean): ReadOnce {
  const { time, voltage, current, loggedPower } = samples;
  const drawn = currentIsDerived ? current.map((amperes, i) => amperes * (voltage[i] as number)) : current;
  const loaded = loadedSamples(current);
  const byVoltage = repeatedReadings(time, voltage, loaded);
  const byCurrent = repeatedReadings(time, drawn, loaded);
  const slower = slowerOf(byVoltage, byCurrent);
  if (!slower) return { samples, repeats: null };
  const faster = slower === byVoltage ? byCurrent : byVoltage;
  const isTogether = faster !== null && areTogether(slower, faster);
  const rows = isTogether ? united(time, slower, faster) : slower.first;
  const repeats: Repeats = {
    intervalS: slower.intervalS,
    voltageS: byVoltage?.intervalS ?? null,
    currentS: byCurrent?.intervalS ?? null,
    rowS: rowInterval(time, loaded),
    leftOut: time.length - rows.length,
  };
  if (rows.length < MIN_SAMPLES) throw tooFew(rows.length, time.length, repeats);
  const pick = (values: Float64Array) => picked(values, rows);
  const read = (values: Float64Array, own: RepeatedChannel | null) =>
    own === null || own === slower || isTogether
      ? pick(values)
      : valuesAlong(picked(time, own.first), picked(values, own.first), pick(time));
  const volts = read(voltage, byVoltage);
  const amperes = read(drawn, byCurrent);
  const orNull = (values: Float64Array | null) => values && pick(values);
  return {
    samples: {
      ...samples,
      time: pick(time),
      voltage: volts,
      current: drawn === current ? amperes : amperes.map((watts, i) => watts / (volts[i] as number)),
      temperature: orNull(samples.temperature),
      probes: samples.probes.map(pick),
      lowestCell: orNull(samples.lowestCell),
      cells: samples.cells.map(pick),
      meanCell: orNull(samples.meanCell),
      loggedPower: orNull(loggedPower),
      loggedCharge: orNull(samples.loggedCharge),
      loggedEnergy: orNull(samples.loggedEnergy),
      unusable: amongReadings(samples.unusable, rows, time.length),
      beyondRange: amongSamples(samples.beyondRange, rows),
      duplicates: amongReadings(samples.duplicates, rows, time.length),
      unordered: amongReadings(samples.unordered, rows, time.length),
      lines: samples.lines.length > 0 ? rows.map((row) => samples.lines[row] as number) : samples.lines,
    },
    repeats,
  };
}

const slowerOf = (a: RepeatedChannel | null, b: RepeatedChannel | null): RepeatedChannel | null =>
  a && b ? (b.intervalS > a.intervalS ? b : a) : (a ?? b);

function areTogether(slower: RepeatedChannel, faster: RepeatedChannel): boolean {
  if (slower.intervalS - faster.intervalS > SAME_INTERVAL_SHARE * slower.intervalS) return false;
  const changed = new Set(slower.changes);
  const [fewer, more] = [Math.min(slower.changes.length, faster.changes.length), faster.changes];
  return more.reduce((count, at) => count + (changed.has(at) ? 1 : 0), 0) >= MIN_TOGETHER_SHARE * fewer;
}

/** The samples at which either of two channels has a new reading. */
function united(time: Float64Array, a: RepeatedChannel, b: RepeatedChannel): Uint32Array {
  const changed = new Set([...a.changes, ...b.changes]);
  const rising = Uint32Array.from(new Set([...a.first, ...b.first])).sort();
  const apartS = ONE_READING_SHARE * a.intervalS;
  const rows: number[] = [];
  for (const at of rising) {
    const last = rows.at(-1);
    const isApart = last === undefined || (time[at] as number) - (time[last] as number) >= apartS;
    if (isApart) rows.push(at);
    // A change is a reading; an instant between changes is only where one is expected.
    else if (changed.has(at) && !changed.has(last)) rows[rows.length - 1] = at;
  }
  return Uint32Array.from(rows);
}

function picked(values: Float64Array, rows: Uint32Array): Float64Array {
  return Float64Array.from(rows, (row) => values[row] as number);
}

/** Rows that are left out, by the numbers of the readings between which they stand. */
function amongReadings(left: RowsLeftOut, rows: Uint32Array, samples: number): RowsLeftOut {
  const sampleOf = (reading: number) => rows[reading] ?? samples;
  return { count: left.count, between: (from, to) => left.between(sampleOf(from), sampleOf(to)) };
}

/** What is repeated and how often it is new, as the end of a sentence. */
export function describeRepeats({ voltageS, currentS, intervalS, rowS }: Repeats): string {
  const every = (seconds: number) => `every ${Number(seconds.toPrecision(2))} s`;
  const isApart =
    voltageS !== null && currentS !== null && Math.abs(voltageS - currentS) > SAME_INTERVAL_SHARE * intervalS;
  const what =
    voltageS !== null && currentS !== null
      ? isApart
        ? `a new voltage ${every(voltageS)} and a new current ${every(currentS)}`
        : `a new one ${every(intervalS)}`
      : `a new ${voltageS !== null ? "voltage" : "current"} ${every(intervalS)}`;
  return `readings repeat: the meter gives ${what}, rows come ${every(rowS)}`;
}

/** What to change where readings repeat, as a sentence. */
export const ADVICE_ON_REPEATS = "Log each reading once, or set the meter faster.";

function tooFew(readings: number, rows: number, repeats: Repeats): LogError {
  return new LogError(
    "log-too-short",
    `The log's ${describeRepeats(repeats)}. Its ${rows} rows hold ${readings} readings; at least ${MIN_SAMPLES} are needed. ${ADVICE_ON_REPEATS}`,
  );
}
