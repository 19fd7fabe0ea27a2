import { concatBytes } from "../../text/bytes.js";
import type { Delimiter } from "../layout/delimiters.js";
import { splitFields } from "../layout/fields.js";
import { sortOf } from "../layout/judge.js";
import type { Layout } from "../layout/layout.js";
import { LogError, type LogPlace } from "../log-error.js";
import { cellTextOf, isBlank, SPACE, TAB, textOf } from "../text/line-bytes.js";
import { recordAt, type TextRecord } from "../text/records.js";
import { readMarkedRows } from "./marked-rows.js";
import { OtherTables } from "./other-tables.js";
import { type Cursor, endOfWholeLines, type PlainTable, readPlainRows } from "./plain-rows.js";
import { RowCells } from "./row-cells.js";
import type { NamedLine, Rows, WantedColumn } from "./rows-read.js";
import { StrayLines } from "./stray-lines.js";

/** Most cells kept from one log, so that reading stays within a bounded memory (8 bytes a cell). */
const MAX_CELLS = 3_000_000;
const MAX_LINE_BYTES = 65_536;
const HEADER_BYTES = 400;
const CR = 0x0d;
const UNKNOWN = "?".charCodeAt(0);

/**
 * Reads the rows of a delimited text, fed to it in chunks, into one array per wanted column.
 * A row is a record whose first wanted column (the time) reads as a number or time. Rows of plain numbers are read by
 * `readPlainRows`; this is the general way, which any row may take with the same result.
 */
export class RowReader {
  private readonly table: PlainTable;
  private readonly isPlain: boolean;
  private readonly readRows: typeof readPlainRows;
  private readonly cells: RowCells;
  private readonly cursor: Cursor;
  private carry: Uint8Array | null = null;
  private holdsNul = false;
  private readonly strays: StrayLines;
  private readonly tables: OtherTables;
  /** Rows whose cells a delimiter inside a text moved. */
  private shifted: { count: number; first: LogPlace | null } = { count: 0, first: null };
  private nulLines: { count: number; first: LogPlace | null } = { count: 0, first: null };
  private cutLine: NamedLine | null = null;
  private loneCr = 0;
  private breaks = 0;
  private endedOpen = false;
  /** A column with free text stands before a wanted one: a delimiter in it shifts the cells behind. */
  private readonly textStandsBefore: boolean;

  /**
   * @param bytesToCome how long the text is, when that is known: no more room is taken than it needs
   * @param hasTime the first wanted column is the time, without which a line is no row
   */
  constructor(
    private readonly layout: Layout,
    wanted: readonly WantedColumn[],
    bytesToCome: number | null = null,
    hasTime = true,
  ) {
    const rowsLimit = Math.floor(MAX_CELLS / wanted.length);
    const rowsPossible = bytesToCome === null ? rowsLimit : Math.min(rowsLimit, (bytesToCome >> 1) + 1);
    const slotAt = new Int32Array(Math.max(...wanted.map((column) => column.index)) + 1).fill(-1);
    wanted.forEach((column, slot) => {
      slotAt[column.index] = slot;
    });
    const [first, ...others] = wanted;
    const isPlainFirst = first?.kind === "number" || first?.kind === "clock";
    this.isPlain = isPlainFirst && others.every(({ kind }) => kind === "number") && layout.delimiter !== " " && hasTime;
    const isMarked = first?.kind === "clock" || layout.quoted;
    this.readRows = isMarked ? readMarkedRows : readPlainRows;
    const { firstTextColumn } = layout;
    this.textStandsBefore = firstTextColumn !== null && wanted.some(({ index }) => index > firstTextColumn);
    // Memory that is not written to costs nothing, so room for the longest log is taken at once.
    this.table = {
      delimiter: delimiterByte(layout.delimiter),
      decimalMark: layout.decimalMark.charCodeAt(0),
      slotAt,
      origins: Float64Array.from(wanted, ({ origin }) => origin ?? 0),
      cells: new Float64Array(wanted.length * rowsPossible),
      lines: new Uint32Array(rowsPossible),
      rowsLimit: rowsPossible,
      width: layout.width,
      clockSlot: first?.kind === "clock" ? 0 : -1,
    };
    this.cells = new RowCells(wanted, this.table, layout.thousands, hasTime);
    this.strays = new StrayLines(layout);
    this.tables = new OtherTables(layout, first?.kind === "number" && hasTime);
    this.cursor = { at: 0, line: layout.firstDataLine, rows: 0, crlf: 0, clocks: { whole: 0, fractions: 0 } };
  }

  /** The next bytes of the text, in order. */
  push(chunk: Uint8Array): void {
    this.holdsNul ||= chunk.includes(0);
    let from = 0;
    if (this.carry) {
      const held = this.carry.length;
      const bridge = concatBytes([this.carry, chunk.subarray(0, MAX_LINE_BYTES)]);
      const at = this.readRecords(bridge, held, false);
      if (at < held) {
        this.hold(bridge, at);
        if (chunk.length > MAX_LINE_BYTES) this.push(chunk.subarray(MAX_LINE_BYTES));
        return;
      }
      from = at - held;
    }
    this.hold(chunk, this.readRecords(chunk, chunk.length, false, from));
  }

  finish(): Rows {
    if (this.carry) this.readRecords(this.carry, this.carry.length, true);
    this.carry = null;
    const { cells, rowsLimit, lines } = this.table;
    const { rows, line, crlf } = this.cursor;
    refuseManyShifted(this.shifted, rows);
    const { lf, crlf: headCrlf, cr } = this.layout.lineEnds;
    const ended = line - this.layout.firstDataLine - this.breaks - crlf - this.loneCr - (this.endedOpen ? 1 : 0);
    return {
      columns: Array.from(this.cells.values, (_, slot) => cells.subarray(slot * rowsLimit, slot * rowsLimit + rows)),
      lines: lines.subarray(0, rows),
      strayLines: this.strays.found,
      lostRows: this.strays.lostRows,
      unreadableCells: this.cells.unreadable,
      nulLines: this.nulLines,
      cutLine: this.cutLine,
      lineEnds: { lf: lf + ended, crlf: headCrlf + crlf, cr: cr + this.loneCr },
      clocks: this.clocks(),
      dates: this.cells.dates,
    };
  }

  private clocks(): Rows["clocks"] {
    const { clocks } = this.cells;
    const { whole, fractions } = this.cursor.clocks;
    return (
      clocks && {
        ...clocks,
        threeParts: clocks.threeParts + whole + fractions,
        fractions: clocks.fractions + fractions,
      }
    );
  }

  private hold(bytes: Uint8Array, from: number): void {
    this.carry = from < bytes.length ? bytes.subarray(from) : null;
    if (!this.carry || this.carry.length <= MAX_LINE_BYTES) return;
    if (this.carry.every((byte) => byte === 0)) {
      // A file that was given its room before it was written ends in zeros.
      this.carry = this.carry.subarray(0, 1);
      return;
    }
    const { line } = this.cursor;
    throw new LogError(
      "log-shape-unknown",
      `Line ${line} is longer than ${MAX_LINE_BYTES} characters: this is no table of samples.`,
      [{ line, message: "line too long" }],
    );
  }

  /** Reads the records that begin before `until`; answers where the first one begins that was not read. */
  private readRecords(bytes: Uint8Array, until: number, final: boolean, from = 0): number {
    const { cursor } = this;
    cursor.at = from;
    const wholeUntil = this.isPlain ? endOfWholeLines(bytes, until) : 0;
    while (cursor.at < until) {
      if (cursor.at < wholeUntil && !this.tables.mayHaveBegun) this.readRows(bytes, wholeUntil, this.table, cursor);
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
    this.cells.read(bytes, from, end, line);
    const isRow = this.cells.isRow && !this.isOfOtherTable() && !this.isShifted(bytes, from, end, line);
    const isCut = isRow && open && this.looksCut(textOf(bytes, from, end));
    if (!isRow || isCut) this.cells.forget();
    if (isCut) this.cutLine = { line, text: textOf(bytes, from, Math.min(end, from + 80)) };
    else if (isRow) this.keepRow(line);
    else {
      this.tables.noteLine(textOf(bytes, from, Math.min(end, from + HEADER_BYTES)), this.cells.isRow);
      this.strays.note(bytes, from, end, line);
    }
  }

  private isOfOtherTable(): boolean {
    const { rows } = this.cursor;
    return this.tables.holdsRow(
      this.cells.values[0] as number,
      rows > 0 ? (this.table.cells[rows - 1] as number) : null,
    );
  }

  /**
   * A row with more cells than there are columns, numbers among them: one of its delimiters is part of a cell. In free text that
   * loses the row; elsewhere a number was torn apart, and then no row can be trusted.
   */
  private isShifted(bytes: Uint8Array, from: number, end: number, line: number): boolean {
    const { delimiter, width, decimalMark } = this.layout;
    if (!hasMoreDelimiters(bytes, from, end, this.table.delimiter, width)) return false;
    const cells = splitFields(cellTextOf(bytes, from, end), delimiter);
    const isNumber = (cell: string) => sortOf(cell, decimalMark) === "readable";
    if (!cells.slice(width).some(isNumber)) return this.textStandsBefore && cells.length > width;
    if (this.textStandsBefore) {
      this.shifted.count++;
      this.shifted.first ??= { line };
      return true;
    }
    if (this.layout.firstTextColumn !== null && this.layout.firstTextColumn < width) return false;
    throw new LogError(
      "log-shape-unknown",
      `Line ${line} has ${cells.length} cells under ${width} columns: a comma inside a number, or another delimiter inside a cell, moves the cells behind it. Export the log with a delimiter that no cell contains, such as a semicolon, or with its cells in quotes.`,
      [{ line, column: width + 1, message: textOf(bytes, from, Math.min(end, from + 120)) }],
    );
  }

  /** A last line without its line end was cut when cells are missing, or digits of the last one. */
  private looksCut(text: string): boolean {
    const fields = splitFields(text, this.layout.delimiter);
    const { firstCells, lastDecimals, decimalMark } = this.layout;
    if (fields.length < firstCells.length) return true;
    return lastDecimals !== null && decimalsOf(fields.at(-1) ?? "", decimalMark) < lastDecimals;
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
    const { values } = this.cells;
    for (let slot = 0; slot < values.length; slot++) cells[slot * rowsLimit + rows] = values[slot] as number;
    lines[rows] = line;
    this.cursor.rows++;
    this.strays.rowFollows();
  }
}

/** One row in so many may be lost to a delimiter inside a text; one always may. */
const ROWS_FOR_ONE_SHIFTED = 100;

function refuseManyShifted({ count, first }: { count: number; first: LogPlace | null }, rows: number): void {
  if (count <= Math.max(1, rows / ROWS_FOR_ONE_SHIFTED)) return;
  throw new LogError(
    "log-shape-unknown",
    `${count} lines, the first of them line ${first?.line}, have more cells than there are columns: a text in them holds the delimiter and moves the cells behind it. Export the log with its texts in quotes, or with the text column last.`,
    [{ ...first, message: "more cells than columns" }],
  );
}

const delimiterByte = (delimiter: Delimiter): number => delimiter.charCodeAt(0);

/** Whether a line holds so many delimiters that it may have more cells than columns; inside quotes or not. */
function hasMoreDelimiters(bytes: Uint8Array, from: number, end: number, delimiter: number, width: number): boolean {
  let count = 0;
  for (let at = from; at < end; at++) {
    const byte = bytes[at];
    if (byte === delimiter || (delimiter === SPACE && byte === TAB)) count++;
  }
  return count >= width;
}

const decimalsOf = (cell: string, mark: string): number => {
  const [, decimals = ""] = cell.trim().replaceAll('"', "").split(mark);
  return decimals.length;
};
