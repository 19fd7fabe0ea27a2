import { columnsOf } from "../../../core/channels/columns-of.js";
import type { ChosenMap } from "../../../core/channels/saved-map.js";
import type { ColumnReading } from "../../../core/model.js";
import type { TableHead } from "../../../core/table/table.js";
import type { LogColumns } from "./messages.js";

/** What a page shows of the columns of a log and of the map that they were read by. */
export function columnsOfLog(
  head: TableHead,
  readings: readonly ColumnReading[],
  { columns, savedMap }: Pick<ChosenMap, "columns" | "savedMap">,
): LogColumns {
  return {
    headers: head.headers,
    firstCells: head.firstCells,
    readings,
    scales: columnsOf(head).map(({ unit }) => unit?.multiplied ?? null),
    map: columns,
    savedMap: savedMap?.label ?? null,
  };
}
