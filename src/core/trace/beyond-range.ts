import type { LogChannels } from "../channels/read-log.js";
import { LogError } from "../table/log-error.js";
import { indexAtOrAfter } from "./series.js";

/** Marks tell of a load beyond the range where they stand in a row for so long, s, ... */
const MIN_MARKED_SECONDS = 0.5;
const MIN_MARKED_IN_A_ROW = 2;
/** ... or in so many rows under load, and in this share of them. All limits CP. */
const MIN_MARKED_ROWS = 8;
const MIN_MARKED_SHARE = 0.01;
/** The load is on above this share of it. */
const LOADED_SHARE = 0.1;
/** At either end of the load a voltage up to so far on the way from what it is under load to what it is at rest is under load: it falls slowly meanwhile, and recovers slowly. */
const MAX_REST_SHARE_AT_START = 0.75;
const MAX_REST_SHARE_AT_END = 0.25;

/** Rows of a log whose voltage, or current, is a mark for a reading beyond the range. */
export interface MarkedRows {
  readonly rows: readonly number[];
  /** For each of them the number of samples before it. */
  readonly before: readonly number[];
}

/** All such rows of a log. */
export interface BeyondRange {
  readonly voltage: MarkedRows;
  readonly current: MarkedRows;
  /** The log's own columns, by row; the voltage is the sum of the cells where only those were logged. */
  readonly log: Pick<LogChannels, "time" | "current" | "lines" | "columns"> & { readonly voltage: Float64Array };
}

/** The samples under load, `to` exclusive, and the load, A. */
interface Loaded {
  readonly from: number;
  readonly to: number;
  readonly loadCurrentA: number;
}

interface Samples {
  readonly time: Float64Array;
  readonly voltage: Float64Array;
}

/**
 * Definition 12a: refuses a log that has a mark for a reading beyond the range in place of the voltage or the current under load. Marks before and after the load, and a lone one in
 * it, as where a meter changes its range, only make rows that cannot be used.
 *
 * @throws LogError `log-over-range`
 */
export function refuseMarkedRange(beyond: BeyondRange, samples: Samples, loaded: Loaded): void {
  for (const channel of ["current", "voltage"] as const) {
    const { rows, before } = beyond[channel];
    const isLoaded = channel === "current" ? byVoltage(beyond, samples, loaded) : byCurrent(beyond, loaded);
    const marked = rows.filter((row, k) => isLoaded(row, before[k] as number));
    const all = loaded.to - loaded.from + marked.length;
    const isMuch = marked.length >= Math.max(MIN_MARKED_ROWS, MIN_MARKED_SHARE * all);
    if (isMuch || areHeld(beyond, marked)) throw markedRange(channel, beyond, marked);
  }
}

/**
 * The same where no load was found, or too few samples: the marks may be all of it.
 *
 * @throws LogError `log-over-range`
 */
export function refuseMarksAlone(beyond: BeyondRange): void {
  for (const channel of ["current", "voltage"] as const) {
    const { rows } = beyond[channel];
    if (rows.length >= MIN_MARKED_ROWS && areHeld(beyond, rows)) throw markedRange(channel, beyond, rows);
  }
}

/** Marks of the current are of the load inside it; at its ends where the voltage is nearer to what it is under load. */
function byVoltage({ current, log }: BeyondRange, { voltage }: Samples, { from, to }: Loaded) {
  const volts = (row: number) => log.voltage[row] as number;
  const highest = (sample: number) =>
    current.rows.reduce((most, row, k) => (current.before[k] === sample ? Math.max(most, volts(row)) : most), 0);
  const between = (loadedV: number, restV: number, share: number) => loadedV + share * (restV - loadedV);
  const startV = between(voltage[from] as number, voltage[from - 1] ?? highest(from), MAX_REST_SHARE_AT_START);
  const endV = between(voltage[to - 1] as number, voltage[to] ?? highest(to), MAX_REST_SHARE_AT_END);
  return (row: number, before: number): boolean => {
    if (before > from && before < to) return true;
    return (before === from && volts(row) < startV) || (before === to && volts(row) < endV);
  };
}

/** Marks of the voltage are of the load where the current shows it. */
function byCurrent({ log }: BeyondRange, { from, to, loadCurrentA }: Loaded) {
  return (row: number, before: number): boolean => {
    const amperes = Math.abs(log.current[row] as number);
    return before >= from && before <= to && amperes >= LOADED_SHARE * loadCurrentA;
  };
}

/** Whether so many rows stand one after the other, for so long. */
function areHeld({ log }: BeyondRange, rows: readonly number[]): boolean {
  let first = 0;
  for (let k = 1; k < rows.length; k++) {
    if (rows[k] !== (rows[k - 1] as number) + 1) first = k;
    const seconds = (log.time[rows[k] as number] as number) - (log.time[rows[first] as number] as number);
    if (k - first + 1 >= MIN_MARKED_IN_A_ROW && seconds >= MIN_MARKED_SECONDS) return true;
  }
  return false;
}

function markedRange(channel: "voltage" | "current", { log }: BeyondRange, rows: readonly number[]): LogError {
  const [row = 0] = rows;
  const line = log.lines[row];
  const column = log.columns?.[channel];
  const where =
    line === undefined ? "" : `, the first in line ${line}${column === undefined ? "" : `, column ${column}`}`;
  return new LogError(
    "log-over-range",
    `In place of the ${channel}, ${rows.length} rows under load hold a mark for a reading beyond the range, such as OL, inf, 9.9E37 or the end of a converter's range${where}: what the pack did there was not measured. Set a wider range and test again.`,
    line === undefined
      ? []
      : [{ line, ...(column === undefined ? {} : { column }), message: `first row without a ${channel} under load` }],
  );
}

/** The same rows among those of the samples that are left of a log. */
export function amongSamples(beyond: BeyondRange, kept: Uint32Array): BeyondRange {
  if (beyond.voltage.rows.length + beyond.current.rows.length === 0) return beyond;
  const samples = Float64Array.from(kept);
  const among = ({ rows, before }: MarkedRows): MarkedRows => ({
    rows,
    before: before.map((one) => indexAtOrAfter(samples, one)),
  });
  return { ...beyond, voltage: among(beyond.voltage), current: among(beyond.current) };
}
