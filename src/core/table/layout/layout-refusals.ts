import { isMissingMark } from "../cells/cells.js";
import { LogError } from "../log-error.js";
import { DELIMITERS, type Delimiter } from "./delimiters.js";
import { splitFields } from "./fields.js";
import type { HeadRecord } from "./head-records.js";
import { type Candidate, sortOf } from "./judge.js";

const EXAMPLE = "such as: time [s];voltage [V];current [A]";

const delimiterName = (delimiter: Delimiter): string =>
  delimiter === "\t" ? "tab" : delimiter === " " ? "spaces" : `"${delimiter}"`;

export function ambiguousLayout(a: Candidate, b: Candidate, records: readonly HeadRecord[]): LogError {
  const { line = 1, text = "" } = records[a.firstData] ?? {};
  return new LogError(
    "log-shape-unknown",
    `Line ${line} can be read in two ways: delimiter ${delimiterName(a.delimiter)} with decimal mark "${a.decimalMark}", or delimiter ${delimiterName(b.delimiter)} with decimal mark "${b.decimalMark}". Export the log with a delimiter that no number contains, such as a semicolon.`,
    [{ line, message: text.slice(0, 120) }],
  );
}

export function headerMissing(line: number): LogError {
  return new LogError(
    "log-header-missing",
    `The numbers begin in line ${line} without a header row above them. Add a row of column names with units, ${EXAMPLE}; or name the columns by their numbers in the column map, such as {"time": {"column": 1, "unit": "s"}, "voltage": {"column": 2, "unit": "V"}, "current": {"column": 3, "unit": "A"}}.`,
    [{ line, message: "first row of numbers" }],
  );
}

export function headerOfOtherWidth(header: HeadRecord, names: number, first: HeadRecord, cells: number): LogError {
  const marks = cells > names ? ", or a comma inside its numbers reads as a delimiter" : "";
  return new LogError(
    "log-header-missing",
    `Line ${header.line} has ${names} column names, and line ${first.line} below it has ${cells} cells: which name belongs to which column is not known${marks}. Export the log with one name for each column and a delimiter that no name or number contains, such as a semicolon; or name the columns by their numbers in the column map, such as {"time": {"column": 1, "unit": "s"}}.`,
    [
      { line: header.line, message: header.text.slice(0, 120) },
      { line: first.line, message: first.text.slice(0, 120) },
    ],
  );
}

export function sideways({ line, text }: HeadRecord, cells: number): LogError {
  return new LogError(
    "log-shape-unknown",
    `The table lies on its side: line ${line} holds one name and ${cells - 1} values. Export it with one column for each channel and one row for each sample.`,
    [{ line, message: text.slice(0, 120) }],
  );
}

export function tornNumbers({ line, text }: Pick<HeadRecord, "line" | "text">, names: number, cells: number): LogError {
  return new LogError(
    "log-shape-unknown",
    `Line ${line} has ${cells} cells under ${names} column names: numbers with a comma of their own, as a decimal mark or between thousands, stand between commas, and where each number ends is not known. Export the log with semicolons between columns, with decimal points, or with its cells in quotes.`,
    [{ line, message: text.slice(0, 120) }],
  );
}

export function twoTables(
  { line, text }: Pick<HeadRecord, "line" | "text">,
  before: number,
  columns: number,
): LogError {
  return new LogError(
    "log-shape-unknown",
    `The log holds two tables: one of ${before} columns, and from line ${line} on one of ${columns}. Upload the table of the samples alone, with its column names.`,
    [{ line, message: text.slice(0, 120) }],
  );
}

/** Why no reading of the lines gives a table: each with its own sentence. */
export function noTable(records: readonly HeadRecord[]): LogError {
  const shown = records.filter(({ text }) => text.trim() !== "");
  const last = shown.at(-1);
  const refuse = (sentence: string, line: number, message: string) =>
    new LogError("log-shape-unknown", sentence, [{ line, message: message.slice(0, 120) }]);
  const numeric = shown.filter(({ text }) => isNumberAlone(text));
  if (numeric.length >= 2 && numeric.length * 2 > shown.length) {
    const { line, text } = numeric[0] as HeadRecord;
    return refuse(
      `Each row holds one number, such as "${text.trim().slice(0, 60)}" in line ${line}. A log needs at least a voltage and a current in each row, and a time or the interval between rows. Export all columns of the measurement.`,
      line,
      text,
    );
  }
  const bad = unreadableCell(shown);
  if (bad) {
    const what = looksLikeDate(bad.cell) ? "is not a date and time of a calendar" : "is not a number, a time or a date";
    return refuse(
      `The cell "${bad.cell}" in line ${bad.line}, column ${bad.column}, ${what}, and no other reading of the rows gives a table. Write numbers as 16.80, times as 09:12:00.5 and dates as 2026-05-02.`,
      bad.line,
      bad.cell,
    );
  }
  const undivided = shown.filter(({ text }) => UNDIVIDED.test(text));
  if (undivided.length >= 2 && undivided.length * 2 > shown.length) {
    const { line, text } = undivided[0] as HeadRecord;
    return refuse(
      `The rows hold several numbers each, such as "${text.trim().slice(0, 60)}" in line ${line}, and no delimiter known here stands between them. Export the log with semicolons, tabs, commas, pipes or spaces between columns.`,
      line,
      text,
    );
  }
  const header = shown.find(({ text }) => isHeaderLike(text));
  if (header) {
    return refuse(
      `The log has column names in line ${header.line}, and no row of numbers below them. Export the samples with the names, one row for each sample.`,
      header.line,
      header.text,
    );
  }
  const { line = 1, text = "" } = last ?? {};
  return refuse(
    `No line of the log's first ${shown.length} is a row of numbers: it reads as text. Send the samples as delimited text: one header row, ${EXAMPLE}; then one row for each sample.`,
    shown[0]?.line ?? line,
    shown[0]?.text ?? text,
  );
}

const isNumberAlone = (text: string): boolean => /^\s*"?[-+\u2212]?\d[\d.,]*"?\s*$/.test(text);
/** Numbers with something else than a known delimiter between them. */
const UNDIVIDED = /^\W*[-+]?\d+(?:[.,]\d+)?(?:[^\d.,;|\t ]+[-+]?\d+(?:[.,]\d+)?)+\W*$/;
const looksLikeDate = (cell: string): boolean => /\d{1,4}[-/.]\d{1,2}[-/.]\d{1,4}/.test(cell);
const isHeaderLike = (text: string): boolean =>
  DELIMITERS.some((delimiter) => {
    const cells = splitFields(text, delimiter);
    const isShort = cells.every((cell) => cell.trim().length <= 40 && !/[.!?]$/.test(cell.trim()));
    return cells.length >= 2 && isShort && (delimiter !== " " || /[[(]/.test(text));
  });

/** The first cell that keeps rows of numbers from being read. */
function unreadableCell(records: readonly HeadRecord[]): { cell: string; line: number; column: number } | null {
  for (const delimiter of DELIMITERS) {
    for (const { text, line } of records) {
      const cells = splitFields(text, delimiter).map((cell) => cell.trim().replaceAll('"', ""));
      const sorts = cells.map((cell) => sortOf(cell, "."));
      const readable = sorts.filter((sort) => sort === "readable").length;
      const at = sorts.findIndex(
        (sort, index) => sort === "text" && /\d/.test(cells[index] ?? "") && !isMissingMark(cells[index] ?? ""),
      );
      if (readable >= 2 && at >= 0) return { cell: (cells[at] ?? "").slice(0, 60), line, column: at + 1 };
    }
  }
  return null;
}
