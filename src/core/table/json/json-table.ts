import { concatBytes, utf8Bytes } from "../../text/bytes.js";
import type { Unit } from "../../units/units.js";
import { MIB } from "../archive/chunks.js";
import { inUnit } from "../cells/cell-unit.js";
import { markIn, parseNumber } from "../cells/cells.js";
import { TimeCells } from "../cells/time-cells.js";
import { LINES_JUDGED, looseIn } from "../layout/judge.js";
import { headerMissing } from "../layout/layout-refusals.js";
import { LogError, type LogPlace } from "../log-error.js";
import type { Counted, Rows, WantedColumn } from "../rows/rows-read.js";
import type { OpenTable } from "../table.js";
import { textOfBytes } from "../text/text.js";
import { readJsonColumns } from "./json-columns.js";
import { excessOf } from "./json-extent.js";

/** JSON is read whole, so it may be no larger than this. */
const MAX_JSON_BYTES = 32 * MIB;
/** A first line that is longer is no list of one sample. */
const MAX_LIST_BYTES = 4096;
const SPACES = new Set([0x20, 0x09, 0x0a, 0x0d]);

/** Whether a text begins like JSON: with an object, or a list of objects, lists or values; not with a section in brackets. */
export function isJson(head: Uint8Array): boolean {
  const first = head.findIndex((byte) => !SPACES.has(byte));
  const second = head.findIndex((byte, at) => at > first && !SPACES.has(byte));
  if (head[first] === 0x7b) return true;
  if (head[first] !== 0x5b) return false;
  if (head[second] === 0x7b || head[second] === 0x5b) return true;
  const end = head.indexOf(0x0a, first);
  const value = parsed(textOfBytes(head)(first, end < 0 ? Math.min(head.length, MAX_LIST_BYTES) : end));
  return Array.isArray(value?.value) && value.value.length >= 2;
}

/**
 * The table in a JSON text (RFC 8259): columns by name, columns with name, unit and values, records, lists of values; or one record or list
 * in each line.
 *
 * @throws LogError `log-too-large` beyond 32 MiB, `log-shape-unknown` when it is no JSON or holds no such table
 */
export async function openJson(head: Uint8Array, rest: AsyncIterator<Uint8Array>): Promise<OpenTable> {
  const bytes = await readWhole(head, rest);
  refuseExcess(bytes);
  const { columns, hasNames } = readJsonColumns(parse(textOfBytes(bytes)(0, bytes.length)));
  const units = columns.map(({ unit }) => unit ?? "");
  const decimalMark = decimalMarkOf(columns.map(({ values }) => values));
  const rows = Math.min(LINES_JUDGED, columns[0]?.values.length ?? 0);
  const sample = Array.from({ length: rows }, (_, row) => columns.map(({ values }) => cellText(values[row])));
  return {
    head: {
      headers: columns.map(({ name }) => name.trim()),
      headerRefusal: hasNames ? null : headerMissing(1),
      unitsRow: units.some((unit) => unit !== "") ? units : null,
      cellUnits: columns.map(({ values }) => cellUnitOf(values, decimalMark)),
      firstCells: columns.map(({ values }) => cellText(values.find((value) => cellText(value) !== ""))),
      sample,
      headerLine: 1,
      decimalMark,
      interval: null,
    },
    read: async (wanted, hasTime) =>
      readRows(
        columns.map(({ values }) => values),
        wanted,
        hasTime,
        decimalMark,
      ),
  };
}

/** Numbers in quotes may have a decimal comma: where one has, and none a point. */
function decimalMarkOf(columns: readonly (readonly unknown[])[]): "." | "," {
  const texts = columns.flatMap((values) => values.slice(0, LINES_JUDGED)).filter((value) => typeof value === "string");
  const has = (pattern: RegExp) => texts.some((text) => pattern.test(text));
  return has(/^\s*[-+]?\d+,\d+\b/) && !has(/^\s*[-+]?\d+\.\d+\b/) ? "," : ".";
}

function cellUnitOf(values: readonly unknown[], mark: "." | ","): string | null {
  for (const value of values.slice(0, LINES_JUDGED)) {
    const unit = typeof value === "string" ? looseIn(value, mark)?.unitText : null;
    if (unit) return unit;
  }
  return null;
}

async function readWhole(head: Uint8Array, rest: AsyncIterator<Uint8Array>): Promise<Uint8Array> {
  const parts = [head];
  let size = head.length;
  for (let next = await rest.next(); !next.done && size <= MAX_JSON_BYTES; next = await rest.next()) {
    parts.push(next.value);
    size += next.value.length;
  }
  if (size <= MAX_JSON_BYTES) return concatBytes(parts);
  throw new LogError(
    "log-too-large",
    `The log is JSON of more than ${MAX_JSON_BYTES / MIB} MiB. Send a log of this size as delimited text, such as comma-separated values, which may be larger.`,
  );
}

function refuseExcess(bytes: Uint8Array): void {
  const excess = excessOf(bytes);
  if (!excess) return;
  throw new LogError(
    "log-too-large",
    `The log is JSON of more than ${excess.of}, which no table of a discharge in JSON may have. Lower the logging rate, or send it as delimited text, such as comma-separated values.`,
    [{ ...placeIn(textOfBytes(bytes)(0, excess.at)), message: `more than ${excess.of}` }],
  );
}

function parse(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch (error) {
    if (!(error instanceof SyntaxError)) throw error;
    const lines = parseLines(text);
    if (lines) return lines;
    throw notJson(error.message, placeOf(error.message, text));
  }
}

const notJson = (message: string, place: Required<LogPlace>): LogError =>
  new LogError(
    "log-shape-unknown",
    `The log looks like JSON, but is none: ${message}. Send one JSON document, such as {"time [s]": [0, 0.1], "voltage [V]": [16.8, 16.7], "current [A]": [0, 95]}, one JSON record in each line, or delimited text.`,
    [{ ...place, message: "not JSON" }],
  );

/** One record or list in each line; null when the lines are none. A last line that was cut is left out. */
function parseLines(text: string): readonly unknown[] | null {
  const lines = text.split(/\r\n|\n|\r/);
  const values: unknown[] = [];
  const last = lines.findLastIndex((line) => line.trim() !== "");
  for (const [at, line] of lines.entries()) {
    if (line.trim() === "") continue;
    const value = parsed(line.trim().replace(/,$/, ""));
    if (value && typeof value.value === "object" && value.value !== null) values.push(value.value);
    else if (values.length < 2) return null;
    else if (at !== last) throw notJson(`line ${at + 1} is no record or list`, { line: at + 1, column: 1 });
  }
  return values;
}

function parsed(text: string): { readonly value: unknown } | null {
  try {
    return { value: JSON.parse(text) };
  } catch (error) {
    if (error instanceof SyntaxError) return null;
    throw error;
  }
}

/** Line and column of a syntax error, from the position that its message names; the end of the text where it names none. */
function placeOf(message: string, text: string): Required<LogPlace> {
  const position = Number(/at position (\d+)/.exec(message)?.[1] ?? text.length);
  return placeIn(text.slice(0, position));
}

function placeIn(textBefore: string): Required<LogPlace> {
  const before = textBefore.split(/\r\n|\n|\r/);
  return { line: before.length, column: (before.at(-1)?.length ?? 0) + 1 };
}

function readRows(
  columns: readonly (readonly unknown[])[],
  wanted: readonly WantedColumn[],
  hasTime: boolean,
  mark: "." | ",",
): Rows {
  const count = Math.max(...wanted.map(({ index }) => columns[index]?.length ?? 0));
  const unreadable = { count: 0, text: null as string | null };
  const times = wanted.map(({ kind }) => (kind === "number" ? null : new TimeCells(kind)));
  const read = wanted.map(({ index, origin = 0, unit = null }, slot) => {
    const values = columns[index] ?? [];
    return Float64Array.from({ length: count }, (_, row) => {
      const value = values[row];
      if (typeof value === "number" && !times[slot]) return value - origin;
      const text = cellText(value);
      const number = times[slot] ? times[slot].read(text) : numberIn(text, origin, unit, mark);
      if (!Number.isNaN(number) || text === "") return number;
      unreadable.count++;
      unreadable.text ??= text.slice(0, 40);
      // The time is no reading of an instrument's.
      return times[slot] || (slot === 0 && hasTime) ? number : (markIn(text) ?? number);
    });
  });
  const isRow = (row: number) =>
    hasTime ? !Number.isNaN(read[0]?.[row]) : read.some((values) => !Number.isNaN(values[row]));
  const rows = Uint8Array.from({ length: count }, (_, row) => (isRow(row) ? 1 : 0));
  const kept = rows.reduce((sum, one) => sum + one, 0);
  const none: Counted = { count: 0, first: null };
  return {
    columns: kept === count ? read : read.map((values) => values.filter((_, row) => rows[row] === 1)),
    lines: new Uint32Array(0),
    strayLines: { count: 0, first: [] },
    lostRows: { count: count - kept, first: null },
    unreadableCells: { count: unreadable.count, first: null, text: unreadable.text },
    nulLines: none,
    cutLine: null,
    lineEnds: { lf: 0, crlf: 0, cr: 0 },
    clocks: times[0]?.clocks ?? null,
    dates: times.map((cells) => cells?.dates ?? null),
  };
}

function numberIn(text: string, origin: number, unit: Unit | null, mark: "." | ","): number {
  if (markIn(text) !== null) return Number.NaN;
  const bytes = utf8Bytes(text);
  const plain = parseNumber(bytes, 0, bytes.length, mark.charCodeAt(0), origin);
  if (!Number.isNaN(plain)) return plain;
  const loose = looseIn(text, mark);
  return loose && !loose.mayBeThousands ? inUnit(loose, unit) - origin : Number.NaN;
}

const cellText = (value: unknown): string =>
  typeof value === "string" ? value.trim() : typeof value === "number" ? String(value) : "";
