import { isMissingMark, parseNumber } from "./cells.js";
import { readJsonColumns } from "./json-columns.js";
import { excessOf } from "./json-extent.js";
import { LogError, type LogPlace } from "./log-error.js";
import type { Counted, Rows, WantedColumn } from "./rows-read.js";
import type { OpenTable } from "./table.js";
import { textOfBytes } from "./text.js";
import { TimeCells } from "./time-cells.js";

/** JSON is read whole, so it may be no larger than this. */
const JSON_LIMIT_BYTES = 32 * 2 ** 20;
const SPACES = new Set([0x20, 0x09, 0x0a, 0x0d]);

/** Whether a text begins like JSON: with an object, or a list of objects; not with a section in brackets. */
export function isJson(head: Uint8Array): boolean {
  const first = head.findIndex((byte) => !SPACES.has(byte));
  const second = head.findIndex((byte, at) => at > first && !SPACES.has(byte));
  return head[first] === 0x7b || (head[first] === 0x5b && (head[second] === 0x7b || head[second] === 0x5b));
}

/**
 * The table in a JSON text (RFC 8259): columns by name, columns with name, unit and values, or records.
 *
 * @throws LogError `log-too-large` beyond 32 MiB, `log-shape-unknown` when it is no JSON or holds no such table
 */
export async function openJson(head: Uint8Array, rest: AsyncIterator<Uint8Array>): Promise<OpenTable> {
  const bytes = await readWhole(head, rest);
  refuseExcess(bytes);
  const columns = readJsonColumns(parse(textOfBytes(bytes)(0, bytes.length)));
  const units = columns.map(({ unit }) => unit ?? "");
  return {
    head: {
      headers: columns.map(({ name }) => name.trim()),
      unitsRow: units.some((unit) => unit !== "") ? units : null,
      firstCells: columns.map(({ values }) => cellText(values.find((value) => cellText(value) !== ""))),
      headerLine: 1,
      decimalMark: ".",
    },
    read: async (wanted) =>
      readRows(
        columns.map(({ values }) => values),
        wanted,
      ),
  };
}

async function readWhole(head: Uint8Array, rest: AsyncIterator<Uint8Array>): Promise<Uint8Array> {
  const parts = [head];
  let size = head.length;
  for (let next = await rest.next(); !next.done && size <= JSON_LIMIT_BYTES; next = await rest.next()) {
    parts.push(next.value);
    size += next.value.length;
  }
  if (size <= JSON_LIMIT_BYTES) return Buffer.concat(parts);
  throw new LogError(
    "log-too-large",
    `The log is JSON of more than ${JSON_LIMIT_BYTES / 2 ** 20} MiB. Send a log of this size as delimited text, such as comma-separated values, which may be larger.`,
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
    throw new LogError(
      "log-shape-unknown",
      `The log looks like JSON, but is none: ${error.message}. Send one JSON document, such as {"time [s]": [0, 0.1], "voltage [V]": [16.8, 16.7], "current [A]": [0, 95]}, or delimited text.`,
      [{ ...placeOf(error.message, text), message: "not JSON" }],
    );
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

function readRows(columns: readonly (readonly unknown[])[], wanted: readonly WantedColumn[]): Rows {
  const count = Math.max(...wanted.map(({ index }) => columns[index]?.length ?? 0));
  const unreadable = { count: 0, text: null as string | null };
  const times = wanted.map(({ kind }) => (kind === "number" ? null : new TimeCells(kind)));
  const read = wanted.map(({ index, origin = 0 }, slot) => {
    const values = columns[index] ?? [];
    return Float64Array.from({ length: count }, (_, row) => {
      const value = values[row];
      if (typeof value === "number" && !times[slot]) return value - origin;
      const text = cellText(value);
      const number = times[slot] ? times[slot].read(text) : numberIn(text, origin);
      if (Number.isNaN(number) && text !== "") {
        unreadable.count++;
        unreadable.text ??= text.slice(0, 40);
      }
      return number;
    });
  });
  const timed = (read[0] as Float64Array).map((time) => (Number.isNaN(time) ? 0 : 1));
  const kept = timed.reduce((sum, one) => sum + one, 0);
  const none: Counted = { count: 0, first: null };
  return {
    columns: kept === count ? read : read.map((values) => values.filter((_, row) => timed[row] === 1)),
    lines: new Uint32Array(0),
    strayLines: { count: 0, first: [] },
    lostRows: { count: count - kept, first: null },
    unreadableCells: { count: unreadable.count, first: null, text: unreadable.text },
    nulLines: none,
    cutLine: null,
    lineEnds: { lf: 0, crlf: 0, cr: 0 },
    clocks: times[0]?.clocks ?? null,
  };
}

function numberIn(text: string, origin: number): number {
  if (isMissingMark(text)) return Number.NaN;
  const bytes = Buffer.from(text);
  return parseNumber(bytes, 0, bytes.length, 0x2e, origin);
}

const cellText = (value: unknown): string =>
  typeof value === "string" ? value.trim() : typeof value === "number" ? String(value) : "";
