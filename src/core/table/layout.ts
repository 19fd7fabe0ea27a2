import { parseUnit, type Unit } from "../units/units.js";
import { DELIMITERS, type DecimalMark, type Delimiter } from "./delimiters.js";
import { splitFields } from "./fields.js";
import { fitHeader } from "./fit-header.js";
import { type HeadRecord, recordsOf } from "./head-records.js";
import { type DeclaredInterval, declaredInterval } from "./interval.js";
import { type Candidate, judge, LINES_JUDGED, looseIn, numberIn, sortOf } from "./judge.js";
import {
  ambiguousLayout,
  headerMissing,
  headerOfOtherWidth,
  noTable,
  sideways,
  tornNumbers,
} from "./layout-refusals.js";
import type { LineEnds } from "./line-ends.js";
import type { LogError } from "./log-error.js";
import { isSeparator } from "./separators.js";
import { settleMarks } from "./thousands.js";
import { isUnitsRow } from "./units-row.js";

/** A line of so many cells is no sample where there are fewer lines than that. */
const MIN_SIDEWAYS_CELLS = 20;
const HOLDS_LETTERS = /[^\d\s.,+\-:"']/;
const DECIMAL_MARKS = [".", ","] as const;

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
 * The layout of a delimited text from its head: the delimiter and decimal mark under which the most cells of the most
 * lines read as numbers or times, the data's first line, the header above it and a units row between them.
 *
 * @param head first bytes of the text, at least its preamble, header and some data lines
 * @throws LogError `log-shape-unknown` when no reading gives a table, or two readings give equally good ones
 */
export function findLayout(head: Uint8Array, given: GivenNames | null = null): Layout {
  const records = recordsOf(head);
  const lines = records.map(({ text }) => text);
  const chosen = bestCandidate(lines, records);
  const { delimiter, firstData, width } = chosen;
  const data = lines.slice(firstData, firstData + LINES_JUDGED).filter((line) => isOfData(line, chosen));
  const sample = data.map((line) => splitFields(line, delimiter));
  const first = records[firstData] as HeadRecord;
  const found = given
    ? { ...given, headerLine: first.line, unitsRow: null, refusal: null, names: null }
    : findHeader(records, chosen, data);
  const cellUnits = found.headers.map((_, column) => cellUnit(sample, column, chosen.decimalMark));
  const { decimalMark, thousands } = settleMarks(lines, chosen, records, unitsOf(found, cellUnits));
  const best = { ...chosen, decimalMark };
  refuseSideways(records, best, sample.length);
  refuseTorn(records, best, given ? null : found.names);
  const before = records.slice(0, firstData);
  const ends = (end: HeadRecord["lineEnd"]) => before.filter(({ lineEnd }) => lineEnd === end).length;
  const textColumns = found.headers.flatMap((_, at) =>
    sample.some((cells) => sortOf(cells[at] ?? "", decimalMark) === "text") ? [at] : [],
  );
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
    firstTextColumn: textColumns[0] ?? null,
    lastDecimals: commonDecimals(lines.slice(firstData, firstData + LINES_JUDGED), best),
    interval: declaredInterval(before),
  };
}

/** The units that cells, names or a units row state in brackets or at their end. */
function unitsOf(
  { headers, unitsRow }: Pick<FoundHeader, "headers" | "unitsRow">,
  cellUnits: readonly (string | null)[],
): readonly (Unit | null)[] {
  const bare = (text: string) => text.replace(/[[\](){}]/g, "").trim();
  const stated = (header: string) =>
    parseUnit(bare(/[[(/_, ][^[(/_, ]*$/.exec(header.trim())?.[0].replace(/^[/_, ]/, "") ?? ""));
  return headers.map(
    (header, at) => parseUnit(cellUnits[at] ?? "") ?? parseUnit(bare(unitsRow?.[at] ?? "")) ?? stated(header),
  );
}

const isOfData = (line: string, { delimiter, decimalMark }: Candidate): boolean =>
  splitFields(line, delimiter).filter((cell) => sortOf(cell, decimalMark) === "readable").length >= 2;

/** The unit beside the first number of a column that has one; null where the numbers stand alone. */
function cellUnit(sample: readonly (readonly string[])[], column: number, mark: DecimalMark): string | null {
  for (const cells of sample) {
    const cell = cells[column] ?? "";
    if (!HOLDS_LETTERS.test(cell)) continue;
    const unit = looseIn(cell, mark)?.unitText;
    if (unit) return unit;
  }
  return null;
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

function bestCandidate(lines: readonly string[], records: readonly HeadRecord[]): Candidate {
  // A decimal mark equal to the delimiter is possible only inside quoted fields.
  const quoted = lines.some((line) => line.includes('"'));
  const occurring = DELIMITERS.filter((delimiter) =>
    lines.some((line) => (delimiter === " " ? /[ \t]/.test(line.trim()) : line.includes(delimiter))),
  );
  const candidates = occurring
    .flatMap((delimiter) =>
      DECIMAL_MARKS.filter((mark) => quoted || mark !== delimiter).map((mark) => judge(lines, delimiter, mark)),
    )
    .filter((candidate) => candidate !== null);
  const sorted = candidates.sort((a, b) => b.score - a.score);
  // Spaces also stand inside cells, such as a date and time: they delimit only what the header says they do.
  const others = sorted.filter(({ delimiter }) => delimiter !== " ");
  const othersFit = others.some((candidate) => headerFits(records, candidate));
  const [best, ...rivals] = sorted.filter((candidate) => {
    if (candidate.delimiter !== " " || others.length === 0) return true;
    return othersFit ? headerFitsWordForWord(records, candidate) : headerFits(records, candidate);
  });
  if (!best) throw noTable(records);
  // What of "16,800" is a decimal mark is settled for the whole column, where the delimiter is not in doubt.
  const rival = rivals.find((one) => one.score === best.score && one.delimiter !== best.delimiter);
  if (rival && readsDifferently(lines, best, rival)) throw ambiguousLayout(best, rival, records);
  return best;
}

function headerFits(records: readonly HeadRecord[], candidate: Candidate): boolean {
  const lines = records.map(({ text }) => text).slice(candidate.firstData, candidate.firstData + LINES_JUDGED);
  return (
    findHeader(
      records,
      candidate,
      lines.filter((line) => isOfData(line, candidate)),
    ).refusal === null
  );
}

/** Each word of the line above the data, or with a unit in brackets, is one name. */
function headerFitsWordForWord(records: readonly HeadRecord[], { firstData, width }: Candidate): boolean {
  const above = records.slice(0, firstData).filter(({ text }) => !isSeparator(text));
  return above.slice(-2).some(({ text }) => splitFields(text.replace(/[ \t]+(?=[[(])/g, ""), " ").length === width);
}

function readsDifferently(lines: readonly string[], a: Candidate, b: Candidate): boolean {
  const numbers = (candidate: Candidate) =>
    splitFields(lines[candidate.firstData] ?? "", candidate.delimiter).map((cell) =>
      numberIn(cell, candidate.decimalMark),
    );
  return JSON.stringify([a.firstData, numbers(a)]) !== JSON.stringify([b.firstData, numbers(b)]);
}

interface FoundHeader {
  readonly headers: readonly string[];
  readonly headerLine: number;
  readonly unitsRow: readonly string[] | null;
  readonly refusal: LogError | null;
  /** How many names the line above the data has; null where it has none. */
  readonly names: number | null;
}

/** Refuses a table that lies on its side: a few long lines, each with its name before its numbers. */
function refuseSideways(
  records: readonly HeadRecord[],
  { delimiter, decimalMark, width }: Candidate,
  lines: number,
): void {
  if (width < MIN_SIDEWAYS_CELLS || lines >= MIN_SIDEWAYS_CELLS) return;
  const long = records
    .map((record) => ({ ...record, cells: splitFields(record.text, delimiter) }))
    .filter(({ cells }) => cells.length === width);
  const [first] = long;
  if (first && long.every(({ cells }) => sortOf(cells[0] ?? "", decimalMark) === "text")) throw sideways(first, width);
}

/**
 * Refuses rows of numbers between commas that have more cells than there are names, some rows more than others or all of them twice as many:
 * their numbers have commas of their own, and no map by numbers of columns would put them together again.
 */
function refuseTorn(
  records: readonly HeadRecord[],
  { delimiter, decimalMark, firstData, width }: Candidate,
  names: number | null,
): void {
  if (delimiter !== "," || names === null) return;
  const rows = records
    .slice(firstData, firstData + LINES_JUDGED)
    .map(({ text, line }) => ({ line, text, cells: splitFields(text, delimiter) }));
  const isOfNumbers = ({ cells }: { cells: readonly string[] }) =>
    cells.every((cell) => sortOf(cell, decimalMark) !== "text");
  const wide = rows.filter(
    (row) => row.cells.length > names && isOfNumbers(row) && row.cells.slice(names).some((cell) => cell.trim() !== ""),
  );
  const [first] = wide;
  if (!first) return;
  const isUneven =
    rows.some(({ cells }) => cells.length >= names && cells.length < width) ||
    wide.some(({ cells }) => cells.length !== width);
  const isDoubled =
    width === 2 * names && wide.every(({ cells }) => cells.every((cell) => /^\s*[-+]?\d*\s*$/.test(cell)));
  if (isUneven || isDoubled) throw tornNumbers(first, names, first.cells.length);
}

/** The nearest line above the data that is no separator, and a row of units between. */
function findHeader(records: readonly HeadRecord[], best: Candidate, data: readonly string[]): FoundHeader {
  const { delimiter, width, firstData } = best;
  const below = { delimiter, width, lines: data };
  const first = records[firstData] as HeadRecord;
  const above = records.slice(0, firstData).filter(({ text }) => !isSeparator(text));
  const nearest = above.at(-1);
  const next = above.at(-2);
  const unnamed = Array.from({ length: width }, () => "");
  if (!nearest) {
    return {
      headers: unnamed,
      headerLine: first.line,
      unitsRow: null,
      refusal: headerMissing(first.line),
      names: null,
    };
  }
  if (next && isUnitsRow(nearest.text, delimiter)) {
    const names = fitHeader(next.text, below);
    const units = fitHeader(nearest.text, below);
    if (names && units && isNames(names)) {
      return { headers: names, headerLine: next.line, unitsRow: units, refusal: null, names: names.length };
    }
  }
  const names = fitHeader(nearest.text, below);
  if (names && isNames(names)) {
    return { headers: names, headerLine: nearest.line, unitsRow: null, refusal: null, names: names.length };
  }
  const cells = splitFields(nearest.text, delimiter);
  const isHeaderLike = cells.length > 1 && isNames(cells) && nearest.line === first.line - 1;
  const refusal = isHeaderLike ? headerOfOtherWidth(nearest, cells.length, first, width) : headerMissing(first.line);
  return {
    headers: unnamed,
    headerLine: first.line,
    unitsRow: null,
    refusal,
    names: isHeaderLike ? cells.length : null,
  };
}

/** A row of numbers, or of prose, names no columns: most names hold letters. */
function isNames(cells: readonly string[]): boolean {
  const named = cells.filter((cell) => cell.trim() !== "");
  return named.filter((cell) => /\p{L}|[%°#]/u.test(cell)).length * 2 > named.length && named.length > 0;
}
