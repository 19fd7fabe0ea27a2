import { parseScaledUnit } from "../../units/units.js";
import { isDate, parseClock } from "../cells/time-text.js";
import { DELIMITERS, type Delimiter } from "./delimiters.js";
import { splitFields } from "./fields.js";

const COMMENT_MARK = /^\s*(?:#+|\/\/+|%+|;+|!+|\*+|--+|REM\b|')\s*/i;

/** The rows of a table that a header is fitted to. */
export interface Below {
  readonly delimiter: Delimiter;
  readonly width: number;
  /** The first lines of data. */
  readonly lines: readonly string[];
}

/**
 * One name for each column of the rows below, or null where a line has none for them. Beside names between the rows' own delimiter
 * these fit: a line after a comment mark; a unit behind its name and the delimiter ("Time, s"); names of several words over columns
 * of fixed width; a header with another delimiter than its rows; a missing name over row numbers or a date.
 */
export function fitHeader(line: string, below: Below): readonly string[] | null {
  const bare = line.replace(COMMENT_MARK, "");
  const texts = bare === line ? [line] : below.delimiter === ";" ? [line, bare] : [bare, line];
  for (const text of texts) {
    const names = fitText(text, below);
    if (names) return names.map((name) => name.trim().replace(/^(['"])(.*)\1$/, "$2"));
  }
  return null;
}

function fitText(text: string, below: Below): readonly string[] | null {
  const { delimiter, width } = below;
  const cells = cellsOf(text, delimiter);
  if (cells.length < 2 && width > 1 && delimiter !== " ") {
    const other = cells.length === 1 ? fitOtherDelimiter(text, below) : null;
    return other;
  }
  if (cells.length === width) return cells;
  const ways = [
    unitsJoined,
    trailingTrimmed,
    delimiter === " " ? fixedWidth : null,
    fitOtherDelimiter,
    besideRowNumbers,
    besideDate,
    longer,
  ];
  for (const way of ways) {
    const names = way?.(text, below, cells);
    if (names) return names;
  }
  return null;
}

/** In a line delimited by spaces, a unit in brackets belongs to the word before it. */
function cellsOf(text: string, delimiter: Delimiter): string[] {
  return splitFields(delimiter === " " ? text.replace(/[ \t]+(?=[[(])/g, "") : text, delimiter);
}

/** "Time, s, Voltage, V": cells that are nothing but a unit belong to the name before them. */
function unitsJoined(_text: string, { width, delimiter }: Below, cells: readonly string[]): readonly string[] | null {
  if (delimiter === " " && cells.length < width) return null;
  const joined: string[] = [];
  for (const cell of cells) {
    const before = joined.at(-1);
    const isUnit = parseScaledUnit(cell.trim().replace(/^[[(]|[\])]$/g, "")) !== null;
    if (isUnit && before !== undefined && !before.includes("["))
      joined[joined.length - 1] = `${before.trim()} [${cell.trim().replace(/^[[(]|[\])]$/g, "")}]`;
    else joined.push(cell);
  }
  return joined.length === width && joined.length < cells.length ? joined : null;
}

/** A delimiter at the end of the header, or of the rows alone. */
function trailingTrimmed(
  _text: string,
  { width, lines, delimiter }: Below,
  cells: readonly string[],
): readonly string[] | null {
  const trimmed = [...cells];
  while (trimmed.length > width && (trimmed.at(-1) ?? "").trim() === "") trimmed.pop();
  if (trimmed.length === width) return trimmed;
  if (trimmed.length > width) return null;
  const isEmptyBeyond = lines.every((line) =>
    splitFields(line, delimiter)
      .slice(trimmed.length)
      .every((cell) => cell.trim() === ""),
  );
  return isEmptyBeyond ? [...trimmed, ...Array.from({ length: width - trimmed.length }, () => "")] : null;
}

/** Names of several words: two spaces or more stand between them, or they stand over their columns. */
function fixedWidth(text: string, { width, lines }: Below): readonly string[] | null {
  const byGaps = text
    .trim()
    .replace(/[ \t]+(?=[[(])/g, "")
    .split(/ {2,}|\t+/);
  return byGaps.length === width ? byGaps : byPlaces(text, width, lines);
}

/** The header cut where the rows have spaces in all of their lines. */
function byPlaces(text: string, width: number, lines: readonly string[]): readonly string[] | null {
  if (lines.some((line) => line.includes("\t"))) return null;
  const length = Math.max(text.length, ...lines.map((line) => line.length));
  const isGap = Array.from({ length }, (_, at) => lines.every((line) => (line[at] ?? " ") === " "));
  const columns: { from: number; to: number }[] = [];
  for (let at = 0; at < length; at++) {
    if (isGap[at]) continue;
    if (at === 0 || isGap[at - 1]) columns.push({ from: at, to: at });
    (columns.at(-1) as { to: number }).to = at;
  }
  if (columns.length !== width) return null;
  const names: string[] = Array.from({ length: width }, () => "");
  for (const { index: from, 0: word } of text.matchAll(/\S+/g)) {
    const to = from + word.length - 1;
    const near = columns.map((column) => Math.max(0, column.from - to, from - column.to));
    const nearest = Math.min(...near);
    if (near.filter((distance) => distance === nearest).length !== 1) return null;
    const at = near.indexOf(nearest);
    names[at] = `${names[at]} ${word}`.trim();
  }
  return names.every((name) => name !== "") ? names : null;
}

function fitOtherDelimiter(text: string, { delimiter, width }: Below): readonly string[] | null {
  for (const other of DELIMITERS) {
    if (other === delimiter || (other === " " && delimiter !== "\t")) continue;
    const cells = cellsOf(text, other);
    if (cells.length === width) return cells;
  }
  return null;
}

/** Row numbers under no name, as some programs write them. */
function besideRowNumbers(
  _text: string,
  { width, lines, delimiter }: Below,
  cells: readonly string[],
): readonly string[] | null {
  if (cells.length !== width - 1) return null;
  const numbers = lines.map((line) => Number((splitFields(line, delimiter)[0] ?? "").replaceAll('"', "")));
  const isCount = numbers.length > 2 && numbers.every((number, at) => number === (numbers[0] as number) + at);
  return isCount && (numbers[0] === 0 || numbers[0] === 1) ? ["", ...cells] : null;
}

/** A date and a time of day under one name. */
function besideDate(
  _text: string,
  { width, lines, delimiter }: Below,
  cells: readonly string[],
): readonly string[] | null {
  if (cells.length !== width - 1 || delimiter !== " ") return null;
  const first = splitFields(lines[0] ?? "", delimiter);
  const at = first.findIndex((cell, index) => isDate(cell) && parseClock(first[index + 1] ?? "") !== null);
  return at < 0 ? null : cells.toSpliced(at, 0, "");
}

/** Names at the end whose cells the rows leave out, such as that of a note. */
function longer(_text: string, { width, delimiter }: Below, cells: readonly string[]): readonly string[] | null {
  if (cells.length < width || delimiter === " ") return null;
  return cells.some((cell) => parseScaledUnit(cell.trim()) !== null) ? null : cells;
}
