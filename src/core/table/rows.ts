import { parseClock, parseIsoInstant, parseNumber } from "./cells.js";
import { splitFields } from "./fields.js";
import type { Delimiter, Layout } from "./layout.js";
import { LogError, type LogPlace } from "./log-error.js";

/** Most cells kept from one log, so that reading stays within a bounded memory (8 bytes a cell). */
const CELLS_LIMIT = 3_000_000;
const LINE_BYTES_LIMIT = 65_536;
const STRAY_LINES_NAMED = 5;
const HEADER_BYTES_COMPARED = 200;
const HALF_DAY_SECONDS = 43_200;
const DAY_SECONDS = 86_400;

const QUOTE = 0x22;
const SPACE = 0x20;
const TAB = 0x09;
const CR = 0x0d;

export type CellKind = "number" | "clock" | "iso";

/** One column to read: its position in the row and how its cells are written. */
export interface WantedColumn {
  readonly index: number;
  readonly kind: CellKind;
}

export interface Rows {
  /** One array per wanted column; NaN where a cell holds no number. */
  readonly columns: readonly Float64Array[];
  /** Line of the log at which each row stands. */
  readonly lines: Uint32Array;
  /** Lines below the header that are no rows: repeated headers, text, a trailing summary. The first few are named. */
  readonly strayLines: { readonly count: number; readonly first: readonly (LogPlace & { readonly text: string })[] };
  /** Those of them that stand between rows and repeat no header: rows whose time cannot be read. */
  readonly lostRows: { readonly count: number; readonly first: LogPlace | null };
  /** Cells of wanted columns that hold text in place of a number. */
  readonly unreadableCells: { readonly count: number; readonly first: LogPlace | null };
}

/**
 * Reads the rows of a delimited text, fed to it in chunks, into one array per wanted column.
 * A row is a line whose first wanted column (the time) reads as a number or time.
 */
export class RowReader {
  private readonly delimiterByte: number;
  private readonly markByte: number;
  private readonly endByte: number;
  private readonly kindAt: (CellKind | undefined)[] = [];
  private readonly slotAt: number[] = [];
  private readonly lastIndex: number;
  private readonly rowsLimit: number;
  private readonly cells: Float64Array;
  private columns: Float64Array[];
  private lines = new Uint32Array(1024);
  private rows = 0;
  private line: number;
  private carry: Uint8Array | null = null;
  private clockTurns = 0;
  private lastClock = Number.NEGATIVE_INFINITY;
  private strays: (LogPlace & { text: string })[] = [];
  private strayCount = 0;
  private firstLostLine: number | null = null;
  private lostCount = 0;
  private lostBeforeRow = 0;
  private unreadableCount = 0;
  private firstUnreadable: LogPlace | null = null;
  private rowUnreadable = 0;

  constructor(
    private readonly layout: Layout,
    wanted: readonly WantedColumn[],
  ) {
    this.delimiterByte = delimiterByte(layout.delimiter);
    this.markByte = layout.decimalMark.charCodeAt(0);
    this.endByte = layout.lineEnd.charCodeAt(0);
    this.line = layout.firstDataLine;
    wanted.forEach((column, slot) => {
      this.kindAt[column.index] = column.kind;
      this.slotAt[column.index] = slot;
    });
    this.lastIndex = Math.max(...wanted.map((column) => column.index));
    this.cells = new Float64Array(wanted.length);
    this.columns = wanted.map(() => new Float64Array(1024));
    this.rowsLimit = Math.floor(CELLS_LIMIT / wanted.length);
  }

  /** The next bytes of the text, in order. */
  push(chunk: Uint8Array): void {
    const bytes = this.carry ? Buffer.concat([this.carry, chunk]) : chunk;
    let from = 0;
    for (let to = bytes.indexOf(this.endByte, from); to >= 0; to = bytes.indexOf(this.endByte, from)) {
      this.readLine(bytes, from, to);
      from = to + 1;
    }
    this.carry = from < bytes.length ? bytes.subarray(from) : null;
    if (this.carry && this.carry.length > LINE_BYTES_LIMIT) {
      throw new LogError(
        "log-shape-unknown",
        `Line ${this.line} is longer than ${LINE_BYTES_LIMIT} characters: this is no table of samples.`,
        [{ line: this.line, message: "line too long" }],
      );
    }
  }

  finish(): Rows {
    if (this.carry) this.readLine(this.carry, 0, this.carry.length);
    this.carry = null;
    return {
      columns: this.columns.map((column) => column.subarray(0, this.rows)),
      lines: this.lines.subarray(0, this.rows),
      strayLines: { count: this.strayCount, first: this.strays },
      lostRows: {
        count: this.lostBeforeRow,
        first: this.lostBeforeRow > 0 && this.firstLostLine !== null ? { line: this.firstLostLine } : null,
      },
      unreadableCells: { count: this.unreadableCount, first: this.firstUnreadable },
    };
  }

  private readLine(bytes: Uint8Array, from: number, to: number): void {
    const end = to > from && bytes[to - 1] === CR ? to - 1 : to;
    const line = this.line++;
    if (isBlank(bytes, from, end)) return;
    this.readCells(bytes, from, end, line);
    if (Number.isNaN(this.cells[0])) {
      this.unreadableCount -= this.rowUnreadable;
      if (this.unreadableCount === 0) this.firstUnreadable = null;
      this.noteStray(bytes, from, end, line);
    } else {
      this.keepRow(line);
    }
  }

  private readCells(bytes: Uint8Array, from: number, end: number, line: number): void {
    this.cells.fill(Number.NaN);
    this.rowUnreadable = 0;
    let at = from;
    for (let index = 0; index <= this.lastIndex && at <= end; index++) {
      if (this.delimiterByte === SPACE) while (at < end && isBlankByte(bytes[at])) at++;
      const cellEnd = this.cellEnd(bytes, at, end);
      const kind = this.kindAt[index];
      if (kind !== undefined) this.readCell(bytes, at, cellEnd, kind, index, line);
      at = cellEnd + 1;
    }
  }

  private cellEnd(bytes: Uint8Array, from: number, end: number): number {
    let quoted = false;
    for (let at = from; at < end; at++) {
      const byte = bytes[at];
      if (byte === QUOTE) quoted = !quoted;
      else if (!quoted && (byte === this.delimiterByte || (this.delimiterByte === SPACE && byte === TAB))) return at;
    }
    return end;
  }

  private readCell(bytes: Uint8Array, from: number, to: number, kind: CellKind, index: number, line: number): void {
    const value =
      kind === "number" ? parseNumber(bytes, from, to, this.markByte) : this.readTime(textOf(bytes, from, to), kind);
    this.cells[this.slotAt[index] as number] = value;
    if (!Number.isNaN(value) || isBlank(bytes, from, to)) return;
    this.rowUnreadable++;
    this.unreadableCount++;
    this.firstUnreadable ??= { line, column: index + 1 };
  }

  private readTime(text: string, kind: "clock" | "iso"): number {
    const unquoted = text.replaceAll('"', "");
    if (kind === "iso") return parseIsoInstant(unquoted);
    const clock = parseClock(unquoted);
    if (Number.isNaN(clock)) return clock;
    // A clock that falls by more than half a day went past midnight.
    if (this.lastClock - clock > HALF_DAY_SECONDS) this.clockTurns++;
    this.lastClock = clock;
    return clock + this.clockTurns * DAY_SECONDS;
  }

  private keepRow(line: number): void {
    if (this.rows === this.rowsLimit) {
      throw new LogError(
        "log-too-large",
        `The log has more than ${this.rowsLimit} rows. Lower the logging rate; 10 to 50 samples per second are plenty for a discharge.`,
        [{ line, message: "row limit reached" }],
      );
    }
    if (this.rows === this.lines.length) this.grow();
    for (let slot = 0; slot < this.columns.length; slot++) {
      (this.columns[slot] as Float64Array)[this.rows] = this.cells[slot] as number;
    }
    this.lines[this.rows++] = line;
    this.lostBeforeRow = this.lostCount;
  }

  private grow(): void {
    const size = Math.min(this.lines.length * 2, this.rowsLimit);
    const lines = new Uint32Array(size);
    lines.set(this.lines);
    this.lines = lines;
    this.columns = this.columns.map((column) => {
      const grown = new Float64Array(size);
      grown.set(column);
      return grown;
    });
  }

  private repeatsHeader(text: string): boolean {
    const [first = ""] = splitFields(text, this.layout.delimiter);
    const { headers, unitsRow } = this.layout;
    return first.trim() === headers[0] || first.trim() === unitsRow?.[0]?.trim();
  }

  private noteStray(bytes: Uint8Array, from: number, end: number, line: number): void {
    this.strayCount++;
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

const textOf = (bytes: Uint8Array, from: number, to: number): string =>
  Buffer.from(bytes.buffer, bytes.byteOffset + from, to - from).toString("latin1");

const isBlankByte = (byte: number | undefined): boolean => byte === SPACE || byte === TAB;

function isBlank(bytes: Uint8Array, from: number, to: number): boolean {
  for (let at = from; at < to; at++) if (!isBlankByte(bytes[at])) return false;
  return true;
}
