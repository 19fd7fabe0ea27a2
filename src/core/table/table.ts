import type { Layout } from "./layout/layout.js";
import type { Rows, WantedColumn } from "./rows/rows-read.js";

/** What is known of a table before its rows are read. */
export type TableHead = Pick<
  Layout,
  | "headers"
  | "headerRefusal"
  | "unitsRow"
  | "cellUnits"
  | "firstCells"
  | "sample"
  | "headerLine"
  | "decimalMark"
  | "interval"
>;

/** A table whose columns are known and whose rows can be read once. */
export interface OpenTable {
  readonly head: TableHead;
  /** @param hasTime the first wanted column is the time, without which there is no row */
  readonly read: (wanted: readonly WantedColumn[], hasTime: boolean) => Promise<Rows>;
}
