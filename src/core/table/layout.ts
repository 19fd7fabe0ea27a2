import { isMissingMark, parseNumber } from "./cells.js";
import type { Delimiter } from "./delimiter.js";
import { splitFields } from "./fields.js";
import { type HeadRecord, recordsOf } from "./head-records.js";
import type { LineEnds } from "./line-ends.js";
import { LogError } from "./log-error.js";
import { isTime, parseDate } from "./time-text.js";
import { isUnitsRow } from "./units-row.js";

/** How a delimited text is laid out, found from its first bytes. Lines count from 1. */
export interface Layout {
  readonly delimiter: Delimiter;
  readonly decimalMark: "." | ",";
  /** Of the lines before the data. */
  readonly lineEnds: LineEnds;
  /** Lines before the data that hold NUL bytes. */
  readonly nulLines: number;
  readonly headerLine: number;
  readonly headers: readonly string[];
  /** Cells of the row under the header when it holds units, else null. */
  readonly unitsRow: readonly string[] | null;
  readonly firstDataLine: number;
  /** Byte at which the first data line begins. */
  readonly dataOffset: number;
  /** Cells of the first data line. */
  readonly firstCells: readonly string[];
  /** Decimals of the last cell, where all rows looked at have the same number of them, else null. */
  readonly lastDecimals: number | null;
}

const DELIMITERS: readonly Delimiter[] = ["\t", ";", "|", ",", "blank"];
const DECIMAL_MARKS = [".", ","] as const;
/** Data lines looked at to settle the delimiter and the decimal mark. */
const LINES_JUDGED = 200;

interface Candidate {
  readonly delimiter: Delimiter;
  readonly decimalMark: "." | ",";
  readonly firstData: number;
  readonly score: number;
}

/**
 * The layout of a delimited text from its head: the delimiter and decimal mark under which the most cells of the most
 * lines read as numbers or times, the data's first line, the header above it and a units row between them.
 *
 * @param head first bytes of the text, at least its preamble, header and some data lines
 * @throws LogError `log-shape-unknown` when no reading gives a table, or two readings give equally good ones;
 *   `log-header-missing` when numbers begin without a header
 */
export function findLayout(head: Uint8Array): Layout {
  const records = recordsOf(head);
  const lines = records.map(({ text }) => text);
  const best = bestCandidate(lines, records);
  const found = findHeader(lines, best, records);
  const before = records.slice(0, best.firstData);
  const ends = (end: HeadRecord["lineEnd"]) => before.filter(({ lineEnd }) => lineEnd === end).length;
  const first = records[best.firstData] as HeadRecord;
  return {
    delimiter: best.delimiter,
    decimalMark: best.decimalMark,
    lineEnds: { lf: ends("lf"), crlf: ends("crlf"), cr: ends("cr") },
    nulLines: before.filter(({ hasNul }) => hasNul).length,
    headerLine: records[found.headerIndex]?.line ?? 1,
    headers: splitHeader(lines[found.headerIndex] ?? "", best.delimiter),
    unitsRow: found.unitsIndex === null ? null : splitFields(lines[found.unitsIndex] ?? "", best.delimiter),
    firstDataLine: first.line,
    dataOffset: first.from,
    firstCells: splitFields(first.text, best.delimiter),
    lastDecimals: commonDecimals(lines.slice(best.firstData, best.firstData + LINES_JUDGED), best),
  };
}

function commonDecimals(lines: readonly string[], { delimiter, decimalMark }: Candidate): number | null {
  const width = splitFields(lines[0] ?? "", delimiter).length;
  const decimals = lines
    .slice(0, -1)
    .map((line) => splitFields(line, delimiter))
    .filter((cells) => cells.length === width && Number.isFinite(numberIn(cells.at(-1) ?? "", decimalMark)))
    .map((cells) => (cells.at(-1) ?? "").trim().replaceAll('"', "").split(decimalMark)[1]?.length ?? 0);
  const [first] = decimals;
  return first !== undefined && decimals.every((count) => count === first) ? first : null;
}

/** In a header delimited by blanks, a unit in brackets belongs to the word before it. */
function splitHeader(line: string, delimiter: Delimiter): string[] {
  const joined = delimiter === "blank" ? line.replace(/[ \t]+(?=[[(])/g, "") : line;
  return splitFields(joined, delimiter).map((cell) => cell.trim());
}

function bestCandidate(lines: readonly string[], records: readonly HeadRecord[]): Candidate {
  // A decimal mark equal to the delimiter is possible only inside quoted fields.
  const quoted = lines.some((line) => line.includes('"'));
  const occurring = DELIMITERS.filter((delimiter) =>
    lines.some((line) => (delimiter === "blank" ? /[ \t]/.test(line) : line.includes(delimiter))),
  );
  const candidates = occurring
    .flatMap((delimiter) =>
      DECIMAL_MARKS.filter((mark) => quoted || mark !== delimiter).map((mark) => judge(lines, delimiter, mark)),
    )
    .filter((candidate) => candidate !== null);
  const sorted = candidates.sort((a, b) => b.score - a.score);
  // Blanks also stand inside cells, such as a date and time: they delimit only what the header says they do.
  const [best, second] = sorted.filter(
    (candidate) => candidate.delimiter !== "blank" || sorted.length === 1 || headerFits(lines, candidate),
  );
  if (!best) {
    throw new LogError(
      "log-shape-unknown",
      `No table of numbers was found in the log. Send delimited text with one header row, then one row per sample with at least time, voltage and current.`,
      [{ line: 1, message: "no header row followed by rows of numbers" }],
    );
  }
  if (second && second.score === best.score && readsDifferently(lines, best, second)) {
    throw new LogError(
      "log-shape-unknown",
      `The log can be read in two ways: delimiter ${name(best.delimiter)} with decimal mark "${best.decimalMark}", or delimiter ${name(second.delimiter)} with decimal mark "${second.decimalMark}". Export it with a delimiter that is not used inside numbers, such as a semicolon.`,
      [{ line: records[best.firstData]?.line ?? 1, message: lines[best.firstData]?.slice(0, 120) ?? "" }],
    );
  }
  return best;
}

function headerFits(lines: readonly string[], { delimiter, firstData }: Candidate): boolean {
  const above = lines.slice(0, firstData).filter((line) => line.trim() !== "");
  const width = splitFields(lines[firstData] ?? "", delimiter).length;
  const nearest = above.at(-1) ?? "";
  const header = isUnitsRow(nearest, delimiter) ? (above.at(-2) ?? "") : nearest;
  return splitHeader(header, delimiter).length === width;
}

function readsDifferently(lines: readonly string[], a: Candidate, b: Candidate): boolean {
  const numbers = (candidate: Candidate) =>
    splitFields(lines[candidate.firstData] ?? "", candidate.delimiter).map((cell) =>
      numberIn(cell, candidate.decimalMark),
    );
  return JSON.stringify([a.firstData, numbers(a)]) !== JSON.stringify([b.firstData, numbers(b)]);
}

const name = (delimiter: Delimiter): string =>
  delimiter === "\t" ? "tab" : delimiter === "blank" ? "blanks" : `"${delimiter}"`;

/** How well the lines read as a table, or null when they do not. */
function judge(lines: readonly string[], delimiter: Delimiter, mark: "." | ","): Candidate | null {
  let firstData = -1;
  let width = 0;
  let score = 0;
  let judged = 0;
  for (let index = 0; index < lines.length && judged < LINES_JUDGED; index++) {
    const cells = splitFields(lines[index] ?? "", delimiter);
    const value = lineValue(cells, mark);
    if (value <= 0 || (firstData >= 0 && cells.length < width)) continue;
    if (firstData < 0 && !nextLinesAgree(lines, index, cells.length, delimiter, mark)) continue;
    if (firstData < 0) {
      firstData = index;
      width = cells.length;
    }
    judged++;
    score += value;
  }
  return firstData < 0 ? null : { delimiter, decimalMark: mark, firstData, score: score / judged };
}

/** A lone line of numbers in the preamble is no table: the next lines must look alike. */
function nextLinesAgree(
  lines: readonly string[],
  index: number,
  width: number,
  delimiter: Delimiter,
  mark: "." | ",",
): boolean {
  const following = lines.slice(index + 1, index + 4).filter((line) => line.trim() !== "");
  return following.every((line) => {
    const cells = splitFields(line, delimiter);
    return cells.length === width && lineValue(cells, mark) > 0;
  });
}

/** Cells that read as numbers or times, less twice those that do not; 0 for a line that is no data line. */
function lineValue(cells: readonly string[], mark: "." | ","): number {
  if (cells.length < 2) return 0;
  let readable = 0;
  let unreadable = 0;
  for (const cell of cells) {
    const trimmed = cell.trim();
    if (trimmed === "" || isMissingMark(trimmed)) continue;
    if (Number.isFinite(numberIn(trimmed, mark)) || isTime(trimmed) || parseDate(trimmed) !== null) readable++;
    else unreadable++;
  }
  return readable < 2 ? 0 : readable - 2 * unreadable;
}

function numberIn(text: string, mark: "." | ","): number {
  const bytes = Buffer.from(text, "latin1");
  return parseNumber(bytes, 0, bytes.length, mark.charCodeAt(0));
}

function findHeader(
  lines: readonly string[],
  best: Candidate,
  records: readonly HeadRecord[],
): { headerIndex: number; unitsIndex: number | null } {
  const above: number[] = [];
  for (let index = best.firstData - 1; index >= 0 && above.length < 2; index--) {
    if ((lines[index] ?? "").trim() !== "") above.push(index);
  }
  const [nearest, next] = above;
  const width = splitFields(lines[best.firstData] ?? "", best.delimiter).length;
  const fits = (index: number | undefined): index is number =>
    index !== undefined && splitFields(lines[index] ?? "", best.delimiter).length >= Math.min(width, 2);
  if (fits(nearest) && isUnitsRow(lines[nearest] ?? "", best.delimiter) && fits(next)) {
    return { headerIndex: next, unitsIndex: nearest };
  }
  if (fits(nearest)) return { headerIndex: nearest, unitsIndex: null };
  throw new LogError(
    "log-header-missing",
    "The numbers begin without a header row. Add one row of column names with units above them, such as: time [s], voltage [V], current [A].",
    [{ line: records[best.firstData]?.line ?? 1, message: "first row of numbers" }],
  );
}
