import type { LogError } from "../log-error.js";
import type { LineEnds } from "../text/line-ends.js";
import { bestCandidate, dataOf } from "./candidate.js";
import { cellUnit, unitsOf } from "./column-units.js";
import type { DecimalMark, Delimiter } from "./delimiters.js";
import { splitFields } from "./fields.js";
import type { HeadRecord } from "./head-records.js";
import { findHeader } from "./header.js";
import { type DeclaredInterval, declaredInterval } from "./interval.js";
import { type Candidate, type JudgedLine, LINES_JUDGED, numberIn, sortOf } from "./judge.js";
import { refuseSideways, refuseTorn } from "./misread-tables.js";
import { settleMarks } from "./thousands.js";

/** How a delimited text is laid out, found from its first bytes. Lines count from 1. */
export interface Layout {
  readonly delimiter: Delimiter;
  readonly decimalMark: DecimalMark;
  /** Of the lines before the data. */
  readonly lineEnds: LineEnds;
  /** Lines before the data that hold NUL bytes. */
  readonly nulLines: number;
  readonly headerLine: number;
  /** Trimmed; empty where no header names the columns. */
  readonly headers: readonly string[];
  /** Why the columns have no names; a column map may name them by their numbers. */
  readonly headerRefusal: LogError | null;
  /** Cells of the row under the header when it holds units, else null. */
  readonly unitsRow: readonly string[] | null;
  /** For each column the unit that stands beside its numbers in the cells, else null. */
  readonly cellUnits: readonly (string | null)[];
  readonly firstDataLine: number;
  /** Byte at which the first data line begins. */
  readonly dataOffset: number;
  /** The first data line has quotes. */
  readonly quoted: boolean;
  /** Cells of the first data line. */
  readonly firstCells: readonly string[];
  /** Cells of the data lines looked at. */
  readonly sample: readonly (readonly string[])[];
  /** A mark between thousands is known to be in use, so that "16,800" is a number of thousands. */
  readonly thousands: boolean;
  /** Cells of a row. */
  readonly width: number;
  /** The first column with text in its cells, in which a delimiter may stand unquoted; null when there is none. */
  readonly firstTextColumn: number | null;
  /** Decimals of the last cell, where all rows looked at have the same number of them, else null. */
  readonly lastDecimals: number | null;
  /** What a line above the table says of the time between rows. */
  readonly interval: DeclaredInterval | null;
}

/** Names that are known beside the text, such as the keys of its rows. */
export interface GivenNames {
  readonly headers: readonly string[];
}

/**
 * The layout of a delimited text from its first records: the delimiter and decimal mark under which the most cells of the most
 * lines read as numbers or times, the data's first line, the header above it and a units row between them.
 *
 * @param records at least its preamble, header and some data lines
 * @throws LogError `log-shape-unknown` when no reading gives a table, or two readings give equally good ones
 */
export function findLayout(records: readonly HeadRecord[], given: GivenNames | null = null): Layout {
  const lines = records.map(({ text }) => text);
  const chosen = bestCandidate(lines, records);
  const { delimiter, firstData, width } = chosen;
  const data = dataOf(chosen);
  const sample = data.map(({ cells }) => cells);
  const first = records[firstData] as HeadRecord;
  const found = given
    ? { ...given, headerLine: first.line, unitsRow: null, refusal: null, names: null }
    : findHeader(
        records,
        chosen,
        data.map(({ text }) => text),
      );
  const cellUnits = found.headers.map((_, column) => cellUnit(sample, column, chosen.decimalMark));
  const { decimalMark, thousands } = settleMarks(lines, chosen, records, unitsOf(found, cellUnits));
  const best = { ...chosen, decimalMark };
  refuseSideways(records, best, sample.length);
  refuseTorn(records, best, given ? null : found.names);
  const before = records.slice(0, firstData);
  const ends = (end: HeadRecord["lineEnd"]) => before.filter(({ lineEnd }) => lineEnd === end).length;
  const isText = ({ cells, sorts }: JudgedLine, at: number) =>
    (decimalMark === chosen.decimalMark ? sorts[at] : sortOf(cells[at] ?? "", decimalMark)) === "text";
  const firstTextColumn = found.headers.findIndex((_, at) => data.some((line) => isText(line, at)));
  return {
    delimiter,
    decimalMark,
    lineEnds: { lf: ends("lf"), crlf: ends("crlf"), cr: ends("cr") },
    nulLines: before.filter(({ hasNul }) => hasNul).length,
    headerLine: found.headerLine,
    headers: found.headers,
    headerRefusal: found.refusal,
    unitsRow: found.unitsRow,
    cellUnits,
    firstDataLine: first.line,
    dataOffset: first.from,
    quoted: first.text.includes('"'),
    firstCells: splitFields(first.text, delimiter),
    sample,
    thousands,
    width: Math.max(width, found.headers.length),
    firstTextColumn: firstTextColumn < 0 ? null : firstTextColumn,
    lastDecimals: commonDecimals(best),
    interval: declaredInterval(before),
  };
}

function commonDecimals({ lines, decimalMark }: Candidate): number | null {
  const rows = lines.slice(0, LINES_JUDGED).map(({ cells }) => cells);
  const width = rows[0]?.length;
  const decimals = rows
    .slice(0, -1)
    .map((cells) => (cells.length === width ? (cells.at(-1) ?? "") : ""))
    .filter((cell) => Number.isFinite(numberIn(cell, decimalMark)))
    .map((cell) => cell.trim().replaceAll('"', "").split(decimalMark)[1]?.length ?? 0);
  const [first] = decimals;
  return first !== undefined && decimals.every((count) => count === first) ? first : null;
}
