import type { Unit } from "../../units/units.js";
import { LogError } from "../log-error.js";
import type { DecimalMark } from "./delimiters.js";
import { splitFields } from "./fields.js";
import type { HeadRecord } from "./head-records.js";
import { type Candidate, numberIn } from "./judge.js";

const GROUP_LIKE = /^[-+]?[1-9]\d{0,2}([.,])\d{3}$/;
const SURELY_GROUPED =
  /^[-+]?[1-9]\d{0,2}(?:,\d{3})+\.\d|^[-+]?[1-9]\d{0,2}(?:\.\d{3})+,\d|^[-+]?[1-9]\d{0,2}(?:,\d{3}){2,}$|^[-+]?[1-9]\d{0,2}(?:\.\d{3}){2,}$/;

export interface Marks {
  readonly decimalMark: DecimalMark;
  /** The other mark is known to divide thousands. */
  readonly thousands: boolean;
}

/**
 * The marks of the log's numbers, where "16,800" may be 16.8 or sixteen thousand. A number of several groups tells ("1,234.5"), and a
 * column whose numbers rise in one reading and not in the other ("998", "999", "1,000").
 *
 * @throws LogError `log-shape-unknown` when nothing tells
 */
export function settleMarks(
  lines: readonly string[],
  found: Candidate,
  records: readonly HeadRecord[],
  units: readonly (Unit | null)[],
): Marks {
  const { delimiter, decimalMark, firstData, width } = found;
  const other = decimalMark === "." ? "," : ".";
  const rows = lines.slice(firstData).map((line) => splitFields(line, delimiter).map(digitsOf));
  const cells = rows.flat().filter((cell) => /\d[.,]\d{3}/.test(cell));
  if (cells.some((cell) => SURELY_GROUPED.test(cell))) return { decimalMark, thousands: true };
  const isOpen = cells.some((cell) => isGroupLike(cell, other));
  if (!isOpen && !isAllGroupLike(rows, decimalMark)) return { decimalMark, thousands: false };
  for (let column = 0; column < width; column++) {
    const ofColumn = rows.map((row) => row[column] ?? "").filter((cell) => cell !== "");
    if (!ofColumn.some((cell) => GROUP_LIKE.test(cell))) continue;
    const asDecimal = rises(ofColumn.map((cell) => Number(cell.replace(",", "."))));
    const asThousands = rises(ofColumn.map((cell) => Number(cell.replace(/[.,]/, ""))));
    if (asThousands && !asDecimal) return { decimalMark: isOpen ? decimalMark : other, thousands: true };
    if (asDecimal && !asThousands) return { decimalMark: isOpen ? other : decimalMark, thousands: false };
  }
  const byUnit = isDecimalByUnit(rows, units);
  if (byUnit !== null) return { decimalMark: byUnit === isOpen ? other : decimalMark, thousands: !byUnit };
  if (!isOpen && decimalMark === ".") return { decimalMark, thousands: false };
  const at = rows.findIndex((row) => row.some((cell) => isGroupLike(cell, isOpen ? other : decimalMark)));
  const { line = 1, text = "" } = records[firstData + at] ?? {};
  const cell = rows[at]?.find((one) => isGroupLike(one, isOpen ? other : decimalMark)) ?? "";
  throw new LogError(
    "log-shape-unknown",
    `The number "${cell}" in line ${line} may be ${cell.replace(",", ".")} or ${cell.replace(/[.,]/, "")}: such a mark is a decimal mark in some logs and divides thousands in others, and no number of this log tells. Export it without marks between thousands and with a decimal point.`,
    [{ line, message: text.slice(0, 120) }],
  );
}

const ALREADY_BARE = /^[\d.,:-]*$/;

/** The number in a cell without quotes and the unit beside it. */
const digitsOf = (cell: string): string =>
  ALREADY_BARE.test(cell)
    ? cell
    : cell
        .trim()
        .replaceAll('"', "")
        .replace(/^[\u2212\u2013]/, "-")
        .replace(/(\d)\s*[^\d\s.,:-][^\d]*$/u, "$1");

const isGroupLike = (cell: string, mark: DecimalMark): boolean => GROUP_LIKE.exec(cell)?.[1] === mark;

/** Every number with the decimal mark might be one with a mark between thousands. */
function isAllGroupLike(rows: readonly (readonly string[])[], mark: DecimalMark): boolean {
  const marked = rows.map((row) => row.filter((cell) => cell.includes(mark)));
  const isOther = (cell: string) => !isGroupLike(cell, mark) && Number.isFinite(numberIn(cell, mark));
  return !marked.some((row) => row.some(isOther)) && marked.some((row) => row.some((cell) => isGroupLike(cell, mark)));
}

/** What no pack of a model reads: more volts or amperes, and fewer millivolts or milliamperes (common practice, no published source). */
const MAX_OF_ONE = 1000;
const MIN_OF_THOUSANDTHS = 1000;

/** Whether such a mark is a decimal mark by the unit of its numbers: nobody logs 16760 V, nor 16.76 mV; null where no unit tells. */
function isDecimalByUnit(rows: readonly (readonly string[])[], units: readonly (Unit | null)[]): boolean | null {
  for (const [column, unit] of units.entries()) {
    const isOfPack = unit?.dimension === "voltage" || unit?.dimension === "current";
    const cells = rows.map((row) => row[column] ?? "").filter((cell) => GROUP_LIKE.test(cell));
    if (!isOfPack || cells.length === 0) continue;
    const whole = cells.map((cell) => Math.abs(Number(cell.replace(/[.,]/, ""))));
    if (unit.factor === 1 && Math.min(...whole) > MAX_OF_ONE) return true;
    if (unit.factor === 1e-3 && Math.max(...whole) / 1000 < MIN_OF_THOUSANDTHS) return false;
  }
  return null;
}

/** Numbers that never fall, and differ. */
function rises(values: readonly number[]): boolean {
  const isRising = values.every((value, at) => at === 0 || value >= (values[at - 1] as number));
  return isRising && values.length > 2 && (values.at(-1) as number) > (values[0] as number);
}
