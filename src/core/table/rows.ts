import { parseNumber } from "./cells.js";
import { splitFields } from "./fields.js";
import type { Delimiter, Layout, LineEnds } from "./layout.js";
import { LogError, type LogPlace } from "./log-error.js";
import { type Cursor, type PlainTable, readPlainRows } from "./plain-rows.js";
import { recordAt, type TextRecord } from "./records.js";
import { type ClocksSeen, TimeCells, type TimeKind } from "./time-cells.js";

/** Most cells kept from one log, so that reading stays within a bounded memory (8 bytes a cell). */
const CELLS_LIMIT = 3_000_000;
const LINE_BYTES_LIMIT = 65_536;
const STRAY_LINES_LIMIT = 100_000;
const STRAY_LINES_NAMED = 5;
const HEADER_BYTES_COMPARED = 200;

const QUOTE = 0x22;
const SPACE = 0x20;
const TAB = 0x09;
const CR = 0x0d;
const UNKNOWN = "?".charCodeAt(0);

export type CellKind = "number" | TimeKind;

/** One column to read: its position in the row and how its cells are written. */
export interface WantedColumn {
  readonly index: number;
  readonly kind: CellKind;
  /** An integer that is subtracted from each number before it is rounded to a double. */
  readonly origin?: number;
}

/** A count with the place of the first. */
export interface Counted {
  readonly count: number;
  readonly first: LogPlace | null;
}

/** A line of the log with the beginning of its text. */
export interface NamedLine {
  readonly line: number;
  readonly text: string;
}

export interface Rows {
  /** One array per wanted column; NaN where a cell holds no number. */
  readonly columns: readonly Float64Array[];
  /** Line of the log at which each row stands; empty where the rows have no lines of their own. */
  readonly lines: Uint32Array;
  /** Lines below the header that are no rows: repeated headers, text, a trailing summary. The first few are named. */
  readonly strayLines: { readonly count: number; readonly first: readonly NamedLine[] };
  /** Those of them that stand between rows and repeat no header: rows whose time cannot be read. */
  readonly lostRows: Counted;
  /** Cells of wanted columns that hold text in place of a number. */
  readonly unreadableCells: Counted & { readonly text: string | null };
  /** Lines with NUL bytes; the cells that hold them are no numbers. */
  readonly nulLines: Counted;
  /** The last line, when it was cut and left out. */
  readonly cutLine: NamedLine | null;
  readonly lineEnds: LineEnds;
  /** null when the time is no clock. */
  readonly clocks: ClocksSeen | null;
}

/**
 * Reads the rows of a delimited text, fed to it in chunks, into one array per wanted column.
 * A row is a record whose first wanted column (the time) reads as a number or time. Rows of plain numbers are read by
 * `readPlainRows`; this is the general way, which any row may take with the same result.
 */
export class RowReader {
  private readonly table: PlainTable;
  private readonly kindAt: (CellKind | undefined)[] = [];
  private readonly times: (TimeCells | undefined)[] = [];
  private readonly hasPlainTime: boolean;
  private readonly row: Float64Array;
  private readonly cursor: Cursor;
  private carry: Uint8Array | null = null;
  private holdsNul = false;
  private strays: NamedLine[] = [];
  private strayCount = 0;
  private firstLostLine: number | null = null;
  private lostCount = 0;
  private lostBeforeRow = 0;
  private unreadable: { count: number; first: LogPlace | null; text: string | null } = {
    count: 0,
    first: null,
    text: null,
  };
  private nulLines: { count: number; first: LogPlace | null } = { count: 0, first: null };
  private cutLine: NamedLine | null = null;
  private loneCr = 0;
  private breaks = 0;
  private endedOpen = false;

  /** @param bytesToCome how long the text is, when that is known: no more room is taken than it needs */
  constructor(
    private readonly layout: Layout,
    wanted: readonly WantedColumn[],
    bytesToCome: number | null = null,
  ) {
    const rowsLimit = Math.floor(CELLS_LIMIT / wanted.length);
    const rowsPossible = bytesToCome === null ? rowsLimit : Math.min(rowsLimit, (bytesToCome >> 1) + 1);
    const slotAt = new Int32Array(Math.max(...wanted.map((column) => column.index)) + 1).fill(-1);
    wanted.forEach((column, slot) => {
      this.kindAt[column.index] = column.kind;
      if (column.kind !== "number") this.times[column.index] = new TimeCells(column.kind);
      slotAt[column.index] = slot;
    });
    this.hasPlainTime = wanted.every(({ kind }) => kind === "number") && layout.delimiter !== "blank";
    this.row = new Float64Array(wanted.length);
    // Memory that is not written to costs nothing, so room for the longest log is taken at once.
    this.table = {
      delimiter: delimiterByte(layout.delimiter),
      decimalMark: layout.decimalMark.charCodeAt(0),
      slotAt,
      origins: Float64Array.from(wanted, ({ origin }) => origin ?? 0),
      cells: new Float64Array(wanted.length * rowsPossible),
      lines: new Uint32Array(rowsPossible),
      rowsLimit: rowsPossible,
    };
    this.cursor = { at: 0, line: layout.firstDataLine, rows: 0, crlf: 0 };
  }

  /** The next bytes of the text, in order. */
  push(chunk: Uint8Array): void {
    this.holdsNul ||= chunk.includes(0);
    let from = 0;
    if (this.carry) {
      const held = this.carry.length;
      const bridge = Buffer.concat([this.carry, chunk.subarray(0, LINE_BYTES_LIMIT)]);
      const at = this.readRecords(bridge, held, false);
      if (at < held) {
        this.hold(bridge, at);
        if (chunk.length > LINE_BYTES_LIMIT) this.push(chunk.subarray(LINE_BYTES_LIMIT));
        return;
      }
      from = at - held;
    }
    this.hold(chunk, this.readRecords(chunk, chunk.length, false, from));
  }

  finish(): Rows {
    if (this.carry) this.readRecords(this.carry, this.carry.length, true);
    this.carry = null;
    const { cells, rowsLimit, lines, slotAt } = this.table;
    const { rows, line, crlf } = this.cursor;
    const { lf, crlf: headCrlf, cr } = this.layout.lineEnds;
    const ended = line - this.layout.firstDataLine - this.breaks - crlf - this.loneCr - (this.endedOpen ? 1 : 0);
    return {
      columns: Array.from(this.row, (_, slot) => cells.subarray(slot * rowsLimit, slot * rowsLimit + rows)),
      lines: lines.subarray(0, rows),
      strayLines: { count: this.strayCount, first: this.strays },
      lostRows: {
        count: this.lostBeforeRow,
        first: this.lostBeforeRow > 0 && this.firstLostLine !== null ? { line: this.firstLostLine } : null,
      },
      unreadableCells: this.unreadable,
      nulLines: this.nulLines,
      cutLine: this.cutLine,
      lineEnds: { lf: lf + ended, crlf: headCrlf + crlf, cr: cr + this.loneCr },
      clocks: this.times[slotAt.indexOf(0)]?.clocks ?? null,
    };
  }

  private hold(bytes: Uint8Array, from: number): void {
    this.carry = from < bytes.length ? bytes.subarray(from) : null;
    if (!this.carry || this.carry.length <= LINE_BYTES_LIMIT) return;
    if (this.carry.every((byte) => byte === 0)) {
      // A file that was given its room before it was written ends in zeros.
      this.carry = this.carry.subarray(0, 1);
      return;
    }
    const { line } = this.cursor;
    throw new LogError(
      "log-shape-unknown",
      `Line ${line} is longer than ${LINE_BYTES_LIMIT} characters: this is no table of samples.`,
      [{ line, message: "line too long" }],
    );
  }

  /** Reads the records that begin before `until`; answers where the first one begins that was not read. */
  private readRecords(bytes: Uint8Array, until: number, final: boolean, from = 0): number {
    const { cursor } = this;
    cursor.at = from;
    while (cursor.at < until) {
      if (this.hasPlainTime) readPlainRows(bytes, until, this.table, cursor);
      if (cursor.at >= until) break;
      const record = recordAt(bytes, cursor.at, final);
      if (!record) break;
      this.readRecord(bytes, cursor.at, record);
      cursor.at = record.next;
    }
    return cursor.at;
  }

  private readRecord(bytes: Uint8Array, from: number, record: TextRecord): void {
    const { line } = this.cursor;
    const { end, next, breaks } = record;
    this.cursor.line += 1 + breaks;
    this.breaks += breaks;
    if (next === end) this.endedOpen = true;
    else if (next === end + 2) this.cursor.crlf++;
    else if (bytes[end] === CR) this.loneCr++;
    if (this.holdsNul && bytes.subarray(from, end).includes(0)) {
      this.nulLines.count++;
      this.nulLines.first ??= { line };
      // What stood in the place of a NUL is not known: its cell is no number, unless nothing else is in the line.
      const kept = bytes.subarray(from, end).map((byte) => (byte === 0 ? UNKNOWN : byte));
      if (kept.some((byte) => byte !== UNKNOWN)) this.readLine(kept, 0, kept.length, line, next === end);
    } else {
      this.readLine(bytes, from, end, line, next === end);
    }
  }

  private readLine(bytes: Uint8Array, from: number, end: number, line: number, open: boolean): void {
    if (isBlank(bytes, from, end)) return;
    const before = { ...this.unreadable };
    this.readCells(bytes, from, end, line);
    const isRow = !Number.isNaN(this.row[0]);
    const isCut = isRow && open && this.looksCut(textOf(bytes, from, end));
    if (!isRow || isCut) this.unreadable = before;
    if (isCut) this.cutLine = { line, text: textOf(bytes, from, Math.min(end, from + 80)) };
    else if (isRow) this.keepRow(line);
    else this.noteStray(bytes, from, end, line);
  }

  /** A last line without its line end was cut when cells are missing, or digits of the last one. */
  private looksCut(text: string): boolean {
    const fields = splitFields(text, this.layout.delimiter);
    const { firstCells, lastDecimals, decimalMark } = this.layout;
    if (fields.length < firstCells.length) return true;
    return lastDecimals !== null && decimalsOf(fields.at(-1) ?? "", decimalMark) < lastDecimals;
  }

  private readCells(bytes: Uint8Array, from: number, end: number, line: number): void {
    this.row.fill(Number.NaN);
    const { delimiter, slotAt } = this.table;
    let at = from;
    for (let index = 0; index < slotAt.length && at <= end; index++) {
      if (delimiter === SPACE) while (at < end && isBlankByte(bytes[at])) at++;
      const cellEnd = this.cellEnd(bytes, at, end);
      const kind = this.kindAt[index];
      if (kind !== undefined) this.readCell(bytes, at, cellEnd, kind, index, line);
      at = cellEnd + 1;
    }
  }

  private cellEnd(bytes: Uint8Array, from: number, end: number): number {
    const { delimiter } = this.table;
    let quoted = false;
    for (let at = from; at < end; at++) {
      const byte = bytes[at];
      if (byte === QUOTE) quoted = !quoted;
      else if (!quoted && (byte === delimiter || (delimiter === SPACE && byte === TAB))) return at;
    }
    return end;
  }

  private readCell(bytes: Uint8Array, from: number, to: number, kind: CellKind, index: number, line: number): void {
    const { decimalMark, origins, slotAt } = this.table;
    const slot = slotAt[index] as number;
    const value =
      kind === "number"
        ? parseNumber(bytes, from, to, decimalMark, origins[slot])
        : this.readTime(textOf(bytes, from, to), index);
    this.row[slot] = value;
    if (!Number.isNaN(value) || isBlank(bytes, from, to)) return;
    this.unreadable.count++;
    this.unreadable.first ??= { line, column: index + 1 };
    this.unreadable.text ??= textOf(bytes, from, Math.min(to, from + 40)).trim();
  }

  private readTime(text: string, index: number): number {
    const cells = this.times[index];
    return cells ? cells.read(text.replaceAll('"', "")) : Number.NaN;
  }

  private keepRow(line: number): void {
    const { rowsLimit, cells, lines } = this.table;
    const { rows } = this.cursor;
    if (rows === rowsLimit) {
      throw new LogError(
        "log-too-large",
        `The log has more than ${rowsLimit} rows. Lower the logging rate; 10 to 50 samples per second are plenty for a discharge.`,
        [{ line, message: "row limit reached" }],
      );
    }
    for (let slot = 0; slot < this.row.length; slot++) cells[slot * rowsLimit + rows] = this.row[slot] as number;
    lines[rows] = line;
    this.cursor.rows++;
    this.lostBeforeRow = this.lostCount;
  }

  private repeatsHeader(text: string): boolean {
    const [first = ""] = splitFields(text, this.layout.delimiter);
    const { headers, unitsRow } = this.layout;
    return first.trim() === headers[0] || first.trim() === unitsRow?.[0]?.trim();
  }

  private noteStray(bytes: Uint8Array, from: number, end: number, line: number): void {
    this.strayCount++;
    if (this.strayCount > STRAY_LINES_LIMIT) {
      throw new LogError(
        "log-shape-unknown",
        `More than ${STRAY_LINES_LIMIT} lines of the log are no rows of its table. Send the table of the samples alone.`,
        [{ line, message: "one line more that is no row" }],
      );
    }
    if (!this.repeatsHeader(textOf(bytes, from, Math.min(end, from + HEADER_BYTES_COMPARED)))) {
      this.lostCount++;
      this.firstLostLine ??= line;
    }
    if (this.strays.length < STRAY_LINES_NAMED)
      this.strays.push({ line, text: textOf(bytes, from, Math.min(end, from + 80)) });
  }
}

function delimiterByte(delimiter: Delimiter): number {
  return delimiter === "blank" ? SPACE : delimiter.charCodeAt(0);
}

const decimalsOf = (cell: string, mark: string): number => {
  const [, decimals = ""] = cell.trim().replaceAll('"', "").split(mark);
  return decimals.length;
};

const textOf = (bytes: Uint8Array, from: number, to: number): string =>
  Buffer.from(bytes.buffer, bytes.byteOffset + from, to - from).toString("latin1");

const isBlankByte = (byte: number | undefined): boolean => byte === SPACE || byte === TAB;

function isBlank(bytes: Uint8Array, from: number, to: number): boolean {
  for (let at = from; at < to; at++) if (!isBlankByte(bytes[at])) return false;
  return true;
}
