import type { Adjustment, Channel } from "../model.js";
import type { Rows } from "../table/rows/rows-read.js";
import type { Assignment } from "./assign.js";
import { nameOf } from "./refusals.js";

/** Not a number as instruments write it (SCPI 1999.0, volume 1; MEM); 9.9E37 stands there for infinity. */
const NOT_A_NUMBER = 9.91e37;
/** From here on a number is a mark and no reading. */
const MIN_MARK = 1e30;
/** The last numbers of converters, and what scripts write where there is none (common practice, no published source). */
const FULL_SCALES = [32_767, 65_535, 8_388_607, 16_777_215, 2_147_483_647, 4_294_967_295];
const NEGATIVE_FULL_SCALES = [-32_768, -8_388_608, -2_147_483_648];
const NINES = /^-?9999+$/;
/** So many decimals a converter's number may have been given. */
const MAX_DECIMALS = 3;
/** The end of a range is a mark where everything else stays within this share of it: a sensor that is driven there reads what leads there too. */
const MAX_SHARE_OF_OTHERS = 0.5;

/** Channels whose range decides whether a run was measured. */
const MEASURED: readonly Channel[] = ["voltage", "current"];

/**
 * Definition 1: numbers that stand for no reading are taken as such: 9.91E37 and, beyond the range, 9.9E37 and all others from 1E30 on; and the end of a converter's range
 * (65535, 32767, -32768, nines, also with decimals) where every other number of the column lies within half of it. Those of voltage and current, and of the power where the
 * current is derived from it, are infinite from here on, which says that they lie beyond the range; in all other channels they are missing.
 */
export function withoutMarks(
  { columns, log, currentFromPower }: Assignment,
  rows: Rows,
): { readonly rows: Rows; readonly adjustments: readonly Adjustment[] } {
  const adjustments: Adjustment[] = [];
  const read = rows.columns.map((values, slot) => {
    const column = columns[slot];
    if (column?.kind !== "number" || column.channel === "time") return values;
    const marks = marksIn(values);
    if (!marks) return values;
    const isMeasured = MEASURED.includes(column.channel) || (column.channel === "power" && currentFromPower);
    let [count, first] = [0, -1];
    const cleared = values.map((value, row) => {
      if (Number.isFinite(value) && !isMark(value, marks)) return value;
      if (Number.isFinite(value)) {
        count++;
        if (first < 0) first = row;
      }
      if (!isMeasured || Number.isNaN(value) || isNotANumber(value)) return Number.NaN;
      return value < 0 ? Number.NEGATIVE_INFINITY : Number.POSITIVE_INFINITY;
    });
    const header = log[column.index];
    if (count > 0 && header) {
      const line = rows.lines[first];
      adjustments.push({
        kind: "numbers-taken-as-missing",
        message: takenAsMissing(
          count,
          nameOf(header),
          `${line === undefined ? "" : `in line ${line}, `}${values[first]}`,
        ),
        before: count,
        after: 0,
        unit: "cells",
      });
    }
    return cleared;
  });
  return { rows: { ...rows, columns: read }, adjustments };
}

const takenAsMissing = (count: number, column: string, first: string): string =>
  count === 1
    ? `A number of ${column} stands for no reading: ${first}. It was taken as missing.`
    : `${count} numbers of ${column} stand for no reading, the first ${first}. They were taken as missing.`;

/** The numbers of a column that are the end of a range and stand for no reading; null where it has no mark of any kind. */
function marksIn(values: Float64Array): readonly number[] | null {
  let [least, most, hasMarks] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, false];
  for (let row = 0; row < values.length; row++) {
    const value = values[row] as number;
    if (Math.abs(value) >= MIN_MARK) hasMarks = true;
    else if (value < least) least = value;
    if (value > most && value < MIN_MARK) most = value;
  }
  const ends = [least, most].filter(isFullScale);
  if (ends.length === 0) return hasMarks ? [] : null;
  let others = 0;
  for (let row = 0; row < values.length; row++) {
    const magnitude = Math.abs(values[row] as number);
    if (magnitude > others && magnitude < MIN_MARK && !ends.includes(values[row] as number)) others = magnitude;
  }
  const marks = ends.filter((end) => others <= MAX_SHARE_OF_OTHERS * Math.abs(end) && comesAgain(values, end));
  return marks.length > 0 || hasMarks ? marks : null;
}

/** One alone is a spike, and judged as such. */
const comesAgain = (values: Float64Array, end: number): boolean => values.indexOf(end) !== values.lastIndexOf(end);

const isMark = (value: number, marks: readonly number[]): boolean =>
  Math.abs(value) >= MIN_MARK || marks.includes(value);

const isNotANumber = (value: number): boolean => Math.abs(Math.abs(value) / NOT_A_NUMBER - 1) < 1e-4;

function isFullScale(value: number): boolean {
  if (!Number.isFinite(value)) return false;
  for (let [decimals, scale] = [0, 1]; decimals <= MAX_DECIMALS; decimals++, scale *= 10) {
    const whole = Math.round(value * scale);
    if (Math.abs(value * scale - whole) > 1e-6) continue;
    return FULL_SCALES.includes(whole) || NEGATIVE_FULL_SCALES.includes(whole) || NINES.test(String(whole));
  }
  return false;
}
