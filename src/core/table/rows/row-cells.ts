import type { Unit } from "../../units/units.js";
import { inUnit } from "../cells/cell-unit.js";
import { markIn, parseNumber } from "../cells/cells.js";
import { parseLooseNumber } from "../cells/loose-number.js";
import { type ClocksSeen, TimeCells } from "../cells/time-cells.js";
import type { LogPlace } from "../log-error.js";
import { cellTextOf, isBlank, isBlankByte, SPACE, TAB } from "../text/line-bytes.js";
import type { PlainTable } from "./plain-rows.js";
import type { CellKind, Rows, WantedColumn } from "./rows-read.js";

const QUOTE = 0x22;
const COMMA = 0x2c;
/** So much of a cell is looked at, and quoted, that is no number. */
const MARK_BYTES = 40;

/** The wanted cells of a line, and what could not be read of them so far. */
export class RowCells {
  /** One for each wanted column; NaN where a cell holds no number, infinite where it says that the range ends. */
  readonly values: Float64Array;
  private readonly kindAt: (CellKind | undefined)[] = [];
  private readonly times: (TimeCells | undefined)[] = [];
  private readonly units: (Unit | null | undefined)[] = [];
  private readonly mark: "." | ",";
  private count = 0;
  private first: LogPlace | null = null;
  private text: string | null = null;
  private countBefore = 0;
  private firstBefore: LogPlace | null = null;
  private textBefore: string | null = null;

  constructor(
    wanted: readonly WantedColumn[],
    private readonly shape: Pick<PlainTable, "delimiter" | "decimalMark" | "slotAt" | "origins">,
    private readonly thousands: boolean,
    private readonly hasTime = true,
  ) {
    this.mark = shape.decimalMark === COMMA ? "," : ".";
    this.values = new Float64Array(wanted.length);
    for (const { index, kind, unit } of wanted) {
      this.kindAt[index] = kind;
      this.units[index] = unit;
      if (kind !== "number") this.times[index] = new TimeCells(kind);
    }
  }

  /** Reads the cells of one line in place of those before. */
  read(bytes: Uint8Array, from: number, end: number, line: number): void {
    this.values.fill(Number.NaN);
    this.countBefore = this.count;
    this.firstBefore = this.first;
    this.textBefore = this.text;
    const { delimiter, slotAt } = this.shape;
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
    const { delimiter } = this.shape;
    let quoted = false;
    for (let at = from; at < end; at++) {
      const byte = bytes[at];
      if (byte === QUOTE) quoted = !quoted;
      else if (!quoted && (byte === delimiter || (delimiter === SPACE && byte === TAB))) return at;
    }
    return end;
  }

  private readCell(bytes: Uint8Array, from: number, to: number, kind: CellKind, index: number, line: number): void {
    const slot = this.shape.slotAt[index] as number;
    const value =
      kind === "number" ? this.readNumber(bytes, from, to, index) : this.readTime(cellTextOf(bytes, from, to), index);
    this.values[slot] = value;
    if (!Number.isNaN(value) || isBlank(bytes, from, to)) return;
    const text = cellTextOf(bytes, from, Math.min(to, from + MARK_BYTES)).trim();
    // The time is no reading of an instrument's.
    if (kind === "number" && !(slot === 0 && this.hasTime)) this.values[slot] = markIn(text) ?? Number.NaN;
    this.count++;
    this.first ??= { line, column: index + 1 };
    this.text ??= text;
  }

  private readNumber(bytes: Uint8Array, from: number, to: number, index: number): number {
    const { decimalMark, origins, slotAt } = this.shape;
    const origin = origins[slotAt[index] as number] as number;
    const plain = parseNumber(bytes, from, to, decimalMark, origin);
    if (!Number.isNaN(plain)) return plain;
    const loose = parseLooseNumber(cellTextOf(bytes, from, to), this.mark);
    if (!loose || (loose.mayBeThousands && !this.thousands)) return Number.NaN;
    return inUnit(loose, this.units[index] ?? null) - origin;
  }

  private readTime(text: string, index: number): number {
    const cells = this.times[index];
    return cells ? cells.read(text.replaceAll('"', "")) : Number.NaN;
  }

  /** The line is a row: its first wanted cell, the time, could be read; without a column of times, one of them. */
  get isRow(): boolean {
    return this.hasTime ? !Number.isNaN(this.values[0]) : this.values.some((value) => !Number.isNaN(value));
  }

  /** The last line was no row: what could not be read of it does not count. */
  forget(): void {
    this.count = this.countBefore;
    this.first = this.firstBefore;
    this.text = this.textBefore;
  }

  get unreadable(): Rows["unreadableCells"] {
    return { count: this.count, first: this.first, text: this.text };
  }

  get clocks(): ClocksSeen | null {
    return this.times[this.shape.slotAt.indexOf(0)]?.clocks ?? null;
  }

  /** For each wanted column its dates of no known order. */
  get dates(): Rows["dates"] {
    return Array.from(this.values, (_, slot) => this.times[this.shape.slotAt.indexOf(slot)]?.dates ?? null);
  }
}
