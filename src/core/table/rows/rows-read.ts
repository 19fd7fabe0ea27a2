import type { Unit } from "../../units/units.js";
import type { ClocksSeen, DatesSeen, TimeKind } from "../cells/time-cells.js";
import type { LogPlace } from "../log-error.js";
import type { LineEnds } from "../text/line-ends.js";

export type CellKind = "number" | TimeKind;

/** One column to read: its position in the row and how its cells are written. */
export interface WantedColumn {
  readonly index: number;
  readonly kind: CellKind;
  /** An integer that is subtracted from each number before it is rounded to a double. */
  readonly origin?: number;
  /** Unit of the numbers, into which a reading with another one beside it is turned. */
  readonly unit?: Unit | null;
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
  /** One array per wanted column; NaN where a cell holds no number, infinite where it holds a mark for a reading beyond the range. */
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
  /** For each wanted column the dates in it whose parts may stand in several orders, else null. */
  readonly dates: readonly (DatesSeen | null)[];
}
