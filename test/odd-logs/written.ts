import type { HonestCourse, Reading } from "./honest-course.js";

/** How one cell of a row is written. */
export type Cell = (reading: Reading, index: number) => string | number;

export const HEADER = "Time [s],Voltage [V],Current [A],Temperature [degC]";
export const SHORT_HEADER = "Time,Voltage [V],Current [A]";

export const seconds: Cell = ({ s }) => s.toFixed(4);
export const volts: Cell = ({ V }) => V.toFixed(3);
export const amperes: Cell = ({ A }) => A.toFixed(2);
export const celsius: Cell = ({ degC }) => degC.toFixed(1);

export const withComma =
  (cell: Cell): Cell =>
  (reading, index) =>
    String(cell(reading, index)).replace(".", ",");

/** Digits before the decimal point in groups of three. */
export const inThousands = (text: string, mark: string): string => text.replace(/\d(?=(\d{3})+(\.|$))/g, `$&${mark}`);

export const rowOf = (reading: Reading, cells: readonly Cell[], delimiter = ",", index = 0): string =>
  cells.map((cell) => cell(reading, index)).join(delimiter);

export const plainRow = (reading: Reading): string => rowOf(reading, [seconds, volts, amperes, celsius]);

/** Lines above the rows of a run, and its rows. */
export const tableOf = (
  { readings }: HonestCourse,
  head: string | readonly string[],
  row: (reading: Reading, index: number) => string,
): string[] => [head, readings.map(row)].flat(2);

/** "0:04:09,250" */
export function clockOf(at: number, mark: string): string {
  const ms = Math.round(1000 * at);
  const two = (value: number) => String(Math.floor(value)).padStart(2, "0");
  const fraction = String(ms % 1000).padStart(3, "0");
  return `${Math.floor(ms / 3_600_000)}:${two((ms / 60_000) % 60)}:${two((ms / 1000) % 60)}${mark}${fraction}`;
}

/** Local time where the clock is set by `hours` in the middle of a run, "2026-03-29T01:59:59.250". */
export function localTime({ readings }: HonestCourse, hours: number): (reading: Reading) => string {
  const middle = readings[readings.length >> 1] as Reading;
  const start = Date.UTC(2026, 2, 29, 2) - 1000 * middle.s;
  return ({ s }) =>
    new Date(Math.round(start + 1000 * s) + (s < middle.s ? 0 : hours * 3_600_000)).toISOString().slice(0, 23);
}

/** A counter of so many bits, in units of `unitS`, that wraps half a minute after the log begins. */
export function counterOf(bits: number, unitS: number, isSigned = false): Cell {
  const period = 2 ** bits;
  return ({ s }) => {
    const count = (Math.floor(s / unitS) + period - Math.round(30 / unitS) + 1000 * period) % period;
    return isSigned && count >= period / 2 ? count - period : count;
  };
}

/** A cell that holds a mark in place of its reading wherever `isMarked`. */
export const markedWhere =
  (isMarked: (reading: Reading, index: number) => boolean, mark: string, cell: Cell): Cell =>
  (reading, index) =>
    isMarked(reading, index) ? mark : cell(reading, index);
