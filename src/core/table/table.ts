import type { Layout } from "./layout.js";
import type { Rows, WantedColumn } from "./rows-read.js";

/** What is known of a table before its rows are read. */
export type TableHead = Pick<Layout, "headers" | "unitsRow" | "firstCells" | "headerLine" | "decimalMark">;

/** A table whose columns are known and whose rows can be read once. */
export interface OpenTable {
  readonly head: TableHead;
  readonly read: (wanted: readonly WantedColumn[]) => Promise<Rows>;
}
