import { latin1Bytes } from "../../text/bytes.js";
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
  /** The lines from `firstData` on that were judged. */
  readonly lines: readonly JudgedLine[];
}

/** No number, time or date is written with more characters. */
const MAX_READABLE_LENGTH = 48;
/** Numbers of digits and one decimal mark. */
const PLAIN: Readonly<Record<DecimalMark, RegExp>> = {
  ".": /^[-+]?(?:\d+\.?\d*|\.\d+)$/,
  ",": /^[-+]?(?:\d+,?\d*|,\d+)$/,
};
/** Of those under the other mark, the numbers that are readable nevertheless: their mark divides thousands. */
const ONE_GROUP = /^[-+]?[1-9]\d{0,2}[.,]\d{3}$/;

/** What a cell shows under a decimal mark. */
export type CellSort = "empty" | "readable" | "text";

export function sortOf(cell: string, mark: DecimalMark): CellSort {
  const plain = PLAIN[mark];
  if (plain.test(cell)) return "readable";
  if (PLAIN[mark === "." ? "," : "."].test(cell)) return ONE_GROUP.test(cell) ? "readable" : "text";
  const trimmed = cell
    .trim()
    .replaceAll('"', "")
    .replace(/^'(.*)'$/, "$1")
    .trim();
  if (trimmed === "") return "empty";
  if (plain.test(trimmed)) return "readable";
  if (isMissingMark(trimmed)) return "empty";
  if (trimmed.length > MAX_READABLE_LENGTH || !/\d/.test(trimmed)) return "text";
  const isNumber = () => Number.isFinite(numberIn(trimmed, mark));
  // A clock reading is found sooner as what it is.
  const isNumberOrTime = trimmed.includes(":") ? isTime(trimmed) || isNumber() : isNumber() || isTime(trimmed);
  return isNumberOrTime || isDate(trimmed) ? "readable" : "text";
}

/** The number in a cell, plain or as people write it; NaN when there is none. */
export function numberIn(text: string, mark: DecimalMark): number {
  if (text.length <= MAX_READABLE_LENGTH && PLAIN[mark].test(text))
    return Number(mark === "." ? text : text.replace(",", "."));
  const bytes = latin1Bytes(text);
  const plain = parseNumber(bytes, 0, bytes.length, mark.charCodeAt(0));
  return Number.isNaN(plain) ? (looseIn(text, mark)?.value ?? Number.NaN) : plain;
}

export const looseIn = (text: string, mark: DecimalMark): LooseNumber | null => parseLooseNumber(text, mark);

/** So many readable cells a cell of text takes back, and so many one without digits where no reading gives a table by that. */
export const TEXT_WEIGHT = 2;
export const MIN_TEXT_WEIGHT = 1;
export type TextWeight = typeof TEXT_WEIGHT | typeof MIN_TEXT_WEIGHT;

/**
 * How well the lines read as a table, or null when they do not.
 *
 * @param textWeight so many readable cells a cell of text without digits takes back
 */
export function judge(
  lines: readonly string[],
  delimiter: Delimiter,
  mark: DecimalMark,
  textWeight: TextWeight = TEXT_WEIGHT,
): Candidate | null {
  const known: JudgedLine[] = [];
  const judgedLine = (index: number): JudgedLine => {
    known[index] ??= lineOf(lines[index] ?? "", delimiter, mark, textWeight);
    return known[index];
  };
  let firstData = -1;
  let score = 0;
  let judged = 0;
  let end = 0;
  const widths = new Map<number, number>();
  for (; end < lines.length && judged < LINES_JUDGED; end++) {
    const line = judgedLine(end);
    if (!line.isData) continue;
    if (firstData < 0 && !nextLinesAgree(lines, end, judgedLine)) continue;
    if (firstData < 0) firstData = end;
    judged++;
    score += line.value;
    widths.set(line.width, (widths.get(line.width) ?? 0) + 1);
  }
  if (firstData < 0 || score <= 0) return null;
  const [width = 0] = [...widths].reduce((a, b) => (b[1] > a[1] ? b : a));
  const ofTable = known.slice(firstData, end);
  return { delimiter, decimalMark: mark, firstData, width, score: score / judged, lines: ofTable };
}

/** A line as it reads under a delimiter and a decimal mark. */
export interface JudgedLine {
  readonly text: string;
  readonly cells: readonly string[];
  /** Of each cell. */
  readonly sorts: readonly CellSort[];
  readonly isData: boolean;
  readonly width: number;
  /** Cells from the first on that are numbers, times or empty. */
  readonly prefix: number;
  /** Cells that read as numbers or times. */
  readonly readable: number;
  /** Those, less the cells that do not, by their weight. */
  readonly value: number;
}

function lineOf(text: string, delimiter: Delimiter, mark: DecimalMark, textWeight: TextWeight): JudgedLine {
  const cells = splitFields(text, delimiter);
  // One cell alone is no row, whatever it shows.
  const sorts = cells.map((cell) => (cells.length < 2 ? "text" : sortOf(cell, mark)));
  let [readable, texts, taken, prefix, leading] = [0, 0, 0, 0, 0];
  for (const [at, sort] of sorts.entries()) {
    if (sort === "text") {
      texts++;
      taken += textWeight === TEXT_WEIGHT || /\d/.test(cells[at] ?? "") ? TEXT_WEIGHT : textWeight;
    }
    if (sort !== "readable") continue;
    readable++;
    if (texts > 0) continue;
    leading++;
    prefix = at + 1;
  }
  const value = readable - taken;
  // A space inside quotes divides nothing.
  const isTorn = delimiter === " " && cells.some(hasOpenQuote);
  const isData = readable >= 2 && !isTorn && (value > 0 || leading >= 3);
  return { text, cells, sorts, isData, width: cells.length, prefix, readable, value };
}

const hasOpenQuote = (cell: string): boolean => cell.includes('"') && (cell.split('"').length - 1) % 2 === 1;

/** A lone line of numbers in the preamble is no table: the next lines must look alike. */
function nextLinesAgree(lines: readonly string[], index: number, judgedLine: (index: number) => JudgedLine): boolean {
  const first = judgedLine(index);
  const following = lines
    .slice(index + 1, index + 1 + LINES_LOOKED_AHEAD)
    .flatMap((line, i) => (isSeparator(line) ? [] : [index + 1 + i]))
    .slice(0, LINES_AGREEING);
  return following.every((i) => {
    const next = judgedLine(i);
    const isAlike = next.width === first.width || (next.prefix === first.prefix && first.prefix >= 2);
    return next.isData && isAlike;
  });
}
