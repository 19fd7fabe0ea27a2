import type { ColumnMap, SavedColumnMap } from "../model.js";

/** The maps that a tester has given for the columns of a log. */
export interface MapChoice {
  /** Sent with the log, or applied to it before; it goes before all saved ones. */
  readonly columns?: ColumnMap | null;
  /** Label of the saved map that `columns` was; null when they were sent with the log. */
  readonly columnsLabel?: string | null;
  /** Applied when `columns` were not sent, each to the logs with exactly its header row. */
  readonly savedMaps?: readonly SavedColumnMap[];
}

export interface ChosenMap {
  readonly columns: ColumnMap;
  /** How reasons and messages call it. */
  readonly name: string;
  /** The saved map that was chosen now. */
  readonly savedMap: SavedColumnMap | null;
}

/** The map for a log with these headers: the one that was sent, else the saved one of this header row, else none. */
export function chooseMap(maps: MapChoice, headers: readonly string[]): ChosenMap {
  const { columns, columnsLabel, savedMaps = [] } = maps;
  const savedMap = columns ? null : (savedMaps.find(({ header }) => isSameRow(header, headers)) ?? null);
  const label = savedMap?.label ?? columnsLabel;
  return {
    columns: columns ?? savedMap?.columns ?? {},
    name: label ? `your saved column map ${label}` : "the column map",
    savedMap,
  };
}

function isSameRow(a: readonly string[], b: readonly string[]): boolean {
  return a.length === b.length && a.every((cell, index) => cell === b[index]);
}
