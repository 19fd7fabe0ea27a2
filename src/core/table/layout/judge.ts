import { isMissingMark, parseNumber } from "../cells/cells.js";
import { type LooseNumber, parseLooseNumber } from "../cells/loose-number.js";
import { isDate, isTime } from "../cells/time-text.js";
import type { DecimalMark, Delimiter } from "./delimiters.js";
import { splitFields } from "./fields.js";
import { isSeparator } from "./separators.js";

/** Data lines looked at to settle the delimiter and the decimal mark. */
export const LINES_JUDGED = 200;
const LINES_AGREEING = 3;
const LINES_LOOKED_AHEAD = 8;

/** One way in which a text may be a table. */
export interface Candidate {
  readonly delimiter: Delimiter;
  readonly decimalMark: DecimalMark;
  /** Index of the first line of data. */
  readonly firstData: number;
  /** Cells in most lines of data. */
  readonly width: number;
  readonly score: number;
}

/** No number, time or date is written with more characters. */
const MAX_READABLE_LENGTH = 48;
const PLAIN_POINT = /^[-+]?(?:\d+\.?\d*|\.\d+)$/;
const PLAIN_COMMA = /^[-+]?(?:\d+,?\d*|,\d+)$/;

/** What a cell shows under a decimal mark. */
export type CellSort = "empty" | "readable" | "text";

export function sortOf(cell: string, mark: DecimalMark): CellSort {
  const plain = mark === "." ? PLAIN_POINT : PLAIN_COMMA;
  if (plain.test(cell)) return "readable";
  const trimmed = cell
    .trim()
    .replaceAll('"', "")
    .replace(/^'(.*)'$/, "$1")
    .trim();
  if (trimmed === "") return "empty";
  if (plain.test(trimmed)) return "readable";
  if (isMissingMark(trimmed)) return "empty";
  if (trimmed.length > MAX_READABLE_LENGTH || !/\d/.test(trimmed)) return "text";
  // A clock reading is found sooner as what it is.
  const isClock = trimmed.includes(":") && isTime(trimmed);
  return isClock || Number.isFinite(numberIn(trimmed, mark)) || isTime(trimmed) || isDate(trimmed)
    ? "readable"
    : "text";
}

/** The number in a cell, plain or as people write it; NaN when there is none. */
export function numberIn(text: string, mark: DecimalMark): number {
  const bytes = Buffer.from(text, "latin1");
  const plain = parseNumber(bytes, 0, bytes.length, mark.charCodeAt(0));
  return Number.isNaN(plain) ? (looseIn(text, mark)?.value ?? Number.NaN) : plain;
}

export const looseIn = (text: string, mark: DecimalMark): LooseNumber | null => parseLooseNumber(text, mark);

/** How well the lines read as a table, or null when they do not. */
export function judge(lines: readonly string[], delimiter: Delimiter, mark: DecimalMark): Candidate | null {
  let firstData = -1;
  let score = 0;
  let judged = 0;
  const widths = new Map<number, number>();
  for (let index = 0; index < lines.length && judged < LINES_JUDGED; index++) {
    const line = lineOf(lines[index] ?? "", delimiter, mark);
    if (!line.isData) continue;
    if (firstData < 0 && !nextLinesAgree(lines, index, line, delimiter, mark)) continue;
    if (firstData < 0) firstData = index;
    judged++;
    score += line.value;
    widths.set(line.width, (widths.get(line.width) ?? 0) + 1);
  }
  if (firstData < 0 || score <= 0) return null;
  const [width = 0] = [...widths].reduce((a, b) => (b[1] > a[1] ? b : a));
  return { delimiter, decimalMark: mark, firstData, width, score: score / judged };
}

interface JudgedLine {
  readonly isData: boolean;
  readonly width: number;
  /** Cells from the first on that are numbers, times or empty. */
  readonly prefix: number;
  /** Cells that read as numbers or times, less twice those that do not. */
  readonly value: number;
}

function lineOf(text: string, delimiter: Delimiter, mark: DecimalMark): JudgedLine {
  const cells = splitFields(text, delimiter);
  if (cells.length < 2) return { isData: false, width: cells.length, prefix: 0, value: 0 };
  // A space inside quotes divides nothing.
  if (delimiter === " " && cells.some(hasOpenQuote)) return { isData: false, width: cells.length, prefix: 0, value: 0 };
  const sorts = cells.map((cell) => sortOf(cell, mark));
  const count = (sort: CellSort) => sorts.filter((one) => one === sort).length;
  const firstText = sorts.indexOf("text");
  const leading = sorts.slice(0, firstText < 0 ? sorts.length : firstText);
  const prefix = leading.lastIndexOf("readable") + 1;
  const readable = count("readable");
  const value = readable - 2 * count("text");
  const isData = readable >= 2 && (value > 0 || leading.filter((one) => one === "readable").length >= 3);
  return { isData, width: sorts.length, prefix, value };
}

const hasOpenQuote = (cell: string): boolean => cell.includes('"') && (cell.split('"').length - 1) % 2 === 1;

/** A lone line of numbers in the preamble is no table: the next lines must look alike. */
function nextLinesAgree(
  lines: readonly string[],
  index: number,
  first: JudgedLine,
  delimiter: Delimiter,
  mark: DecimalMark,
): boolean {
  const following = lines
    .slice(index + 1, index + 1 + LINES_LOOKED_AHEAD)
    .filter((line) => !isSeparator(line))
    .slice(0, LINES_AGREEING);
  return following.every((line) => {
    const next = lineOf(line, delimiter, mark);
    const isAlike = next.width === first.width || (next.prefix === first.prefix && first.prefix >= 2);
    return next.isData && isAlike;
  });
}
