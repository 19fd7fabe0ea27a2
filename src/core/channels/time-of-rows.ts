import type { Adjustment, ColumnMap } from "../model.js";
import { LogError } from "../table/log-error.js";
import type { Rows } from "../table/rows-read.js";
import type { TableHead } from "../table/table.js";
import { toBaseUnit } from "../units/units.js";
import type { AssignedColumn } from "./assigned.js";
import { clockReading, unroll } from "./clock-time.js";

const DAY_S = 86_400;

/**
 * The time of each row, s: counted, by a clock, or by a clock and the date beside it.
 *
 * @throws LogError `log-unit-missing` when a clock of two parts may be m:s and h:m
 */
export function readTime(
  columns: readonly AssignedColumn[],
  rows: Rows,
  head: TableHead,
): { readonly seconds: Float64Array; readonly adjustments: readonly Adjustment[] } {
  const column = columns[0] as AssignedColumn;
  const values = rows.columns[0] as Float64Array;
  if (column.kind === "number" && column.unit) return { seconds: toBaseUnit(values, column.unit), adjustments: [] };
  if (!rows.clocks || column.kind !== "clock") return { seconds: values, adjustments: [] };
  const reading = clockReading(rows.clocks, column.unit);
  if (!reading) throw twoReadings(column, head, columns);
  const seconds = reading.factor === 1 ? Float64Array.from(values) : values.map((value) => value * reading.factor);
  const dateSlot = columns.findIndex(({ kind }) => kind === "date");
  const days = rows.columns[dateSlot];
  if (days) return { seconds: addDays(seconds, days), adjustments: [] };
  const turns = unroll(seconds, reading.periodS);
  if (turns === 0) return { seconds, adjustments: [] };
  const rolled: Adjustment = {
    kind: "clock-rolled-over",
    message: `The clock of the log begins again ${turns} times; its time was carried on, ${reading.periodS / 3600} h each time.`,
    before: turns,
    after: 0,
    unit: "times",
  };
  return { seconds, adjustments: [rolled] };
}

/** A row without a date is of the day before it. */
function addDays(seconds: Float64Array, days: Float64Array): Float64Array {
  const first = days.find((day) => !Number.isNaN(day)) ?? 0;
  let day = first;
  return seconds.map((value, row) => {
    const stated = days[row] as number;
    if (!Number.isNaN(stated)) day = stated;
    return value + (day - first) * DAY_S;
  });
}

function twoReadings(column: AssignedColumn, head: TableHead, columns: readonly AssignedColumn[]): LogError {
  const header = head.headers[column.index] ?? "";
  const others: ColumnMap = Object.fromEntries(
    columns
      .filter(({ channel }) => channel === "voltage" || channel === "current")
      .map(({ channel, index }) => [channel, head.headers[index] ?? ""]),
  );
  const candidates = ["m:s", "h:m"].map((unit) => ({
    channel: "time" as const,
    columns: { ...others, time: { name: header, unit } },
  }));
  return new LogError(
    "log-unit-missing",
    `The times in the column "${header}", such as ${head.firstCells[column.index]?.trim()}, may be minutes and seconds, or hours and minutes. Write which into the header, such as "${header} [m:s]" or "${header} [h:m]", or send it in the column map.`,
    [{ line: head.headerLine, column: column.index + 1, message: header }],
    { columns: others, candidates },
  );
}
