import type { Adjustment } from "../../model.js";
import { SECONDS_A_DATE } from "../../table/cells/time-cells.js";
import { LogError } from "../../table/log-error.js";
import type { Rows } from "../../table/rows/rows-read.js";
import type { TableHead } from "../../table/table.js";
import { dateOrderOf, toBaseUnit } from "../../units/units.js";
import type { Assignment } from "../assign.js";
import type { AssignedColumn } from "../assigned.js";
import { timeProposal } from "../proposal.js";
import { carryOnSetClock } from "./clock-set.js";
import { clockReading, unroll } from "./clock-time.js";
import { type ClosedDates, closeDates } from "./close-dates.js";
import { spreadWithinTicks } from "./spread-ticks.js";
import { unwrapCounter } from "./wrapped-counter.js";

const DAY_S = 86_400;

interface TimeOfRows {
  readonly seconds: Float64Array;
  readonly adjustments: readonly Adjustment[];
}

/**
 * The time of each row, s: counted, by a clock, by a clock and the date beside it, or by the interval between rows.
 *
 * @throws LogError `log-unit-missing` when a clock of two parts may be m:s and h:m, or a date may be read in several orders
 */
export function readTime(
  assignment: Assignment,
  columns: readonly AssignedColumn[],
  rows: Rows,
  head: TableHead,
): TimeOfRows {
  if (assignment.intervalS !== null) return byInterval(assignment.intervalS, rows, head);
  const read = carriedOn(readColumn(assignment, columns, rows, head), columns, rows);
  const spread = spreadWithinTicks(read.seconds);
  return spread ? { seconds: spread.seconds, adjustments: [...read.adjustments, spread.adjustment] } : read;
}

/** The time of day, carried on where its clock was set. */
function carriedOn(read: TimeOfRows, columns: readonly AssignedColumn[], { columns: values, lines }: Rows): TimeOfRows {
  if (columns[0]?.kind === "number") return read;
  const of = (...wanted: AssignedColumn["channel"][]) =>
    columns.flatMap(({ channel }, slot) => (wanted.includes(channel) ? [values[slot] as Float64Array] : []));
  const seconds = Float64Array.from(read.seconds);
  const set = carryOnSetClock(seconds, of("current", "power")[0] ?? null, of("voltage", "cell"));
  if (!set) return read;
  const { byS, row } = set;
  const place = lines[row] === undefined ? `row ${row + 1}` : `line ${lines[row]}`;
  const carried: Adjustment = {
    kind: "clock-set",
    message: `The clock of the log was set ${byS < 0 ? "back" : "forward"} by ${Math.abs(byS) / 60} min before ${place}, as for summer time or another zone. Its time was carried on.`,
    before: byS,
    after: 0,
    unit: "s",
  };
  return { seconds, adjustments: [...read.adjustments, carried] };
}

function readColumn(
  assignment: Assignment,
  columns: readonly AssignedColumn[],
  rows: Rows,
  head: TableHead,
): TimeOfRows {
  const column = columns[0] as AssignedColumn;
  const values = rows.columns[0] as Float64Array;
  if (column.kind === "number") {
    return counted(Float64Array.from(column.unit ? toBaseUnit(values, column.unit) : values));
  }
  if (column.kind === "open-iso") {
    const { days, adjustments } = closed(assignment, column, rows, 0, head);
    const seconds = values.map((value) => {
      const place = Math.floor(value / SECONDS_A_DATE);
      return ((days[place] as number) - (days[0] as number)) * DAY_S + (value - place * SECONDS_A_DATE);
    });
    return { seconds, adjustments };
  }
  const clocks = rows.clocks;
  if (!clocks || column.kind !== "clock") return { seconds: values, adjustments: [] };
  const reading = clockReading(clocks, column.unit);
  if (!reading) throw twoReadings(assignment, column, head);
  const seconds = reading.factor === 1 ? Float64Array.from(values) : values.map((value) => value * reading.factor);
  const dateSlot = columns.findIndex(({ kind }) => kind === "date" || kind === "open-date");
  const dates = rows.columns[dateSlot];
  const date = columns[dateSlot];
  if (dates && date) {
    const { days, adjustments }: ClosedDates =
      date.kind === "date" ? { days: [], adjustments: [] } : closed(assignment, date, rows, dateSlot, head);
    const ofRows = date.kind === "date" ? dates : dates.map((place) => days[place / SECONDS_A_DATE] ?? Number.NaN);
    return { seconds: addDays(seconds, ofRows), adjustments };
  }
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

/** A count of time, carried on where its counter wraps. */
function counted(seconds: Float64Array): TimeOfRows {
  const wrapped = unwrapCounter(seconds);
  if (!wrapped) return { seconds, adjustments: [] };
  const { periodS, turns, row } = wrapped;
  const times = turns === 1 ? "once" : `${turns} times`;
  const carried: Adjustment = {
    kind: "clock-rolled-over",
    message: `The time counter of the log wraps at ${periodS} s, ${times}, first in row ${row + 1}. Its time was carried on.`,
    before: turns,
    after: 0,
    unit: "times",
  };
  return { seconds, adjustments: [carried] };
}

/** Rows that stand one interval apart; a line that is no row, between rows, takes its place in time. */
function byInterval(intervalS: number, rows: Rows, head: TableHead): TimeOfRows {
  const count = rows.columns[0]?.length ?? 0;
  const { lines } = rows;
  const first = lines[0] ?? 0;
  const hasLost = rows.lostRows.count > 0 && lines.length === count;
  const place = (row: number) => (hasLost ? (lines[row] as number) - first : row);
  const declared =
    head.interval?.seconds === intervalS
      ? ` by line ${head.interval.line}: "${head.interval.text}"`
      : " by the column map";
  return {
    seconds: Float64Array.from({ length: count }, (_, row) => place(row) * intervalS),
    adjustments: [
      {
        kind: "time-from-interval",
        message: `The log has no time column. Its rows stand ${intervalS} s apart${declared}.`,
        before: null,
        after: intervalS,
        unit: "s",
      },
    ],
  };
}

function closed(
  assignment: Assignment,
  column: AssignedColumn,
  rows: Rows,
  slot: number,
  head: TableHead,
): ClosedDates {
  const seen = rows.dates[slot];
  if (!seen) throw new Error("dates that were read are missing");
  const order = dateOrderOf(column.unit);
  const closedDates = closeDates(seen, order);
  if (closedDates) return closedDates;
  const orders = seen.orders.join(" and ");
  const header = head.headers[column.index] ?? "";
  const mapped = assignment.columns.find(({ channel }) => channel === "time")?.index ?? column.index;
  throw new LogError(
    "log-unit-missing",
    seen.orders.length === 0 || order
      ? `The dates in the column "${header}", such as "${seen.texts[0]}" and "${seen.texts.at(-1)}", are not all dates of a calendar in ${order ? `the order ${order}` : "any one order of day, month and year"}. Correct them, or write them year first, such as 2026-05-02.`
      : `The dates in the column "${header}", such as "${seen.texts[0]}" and "${seen.texts[1]}", can be read as ${orders}. Write them year first, such as 2026-05-02, or say which it is in the column map: {"time": {"name": ${JSON.stringify(head.headers[mapped] ?? "")}, "unit": "${seen.orders[0]}"}}.`,
    [{ line: head.headerLine, column: column.index + 1, message: header }],
    timeProposal(assignment, mapped, seen.orders),
  );
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

function twoReadings(assignment: Assignment, column: AssignedColumn, head: TableHead): LogError {
  const header = head.headers[column.index] ?? "";
  return new LogError(
    "log-unit-missing",
    `The times in the column "${header}", such as ${head.firstCells[column.index]?.trim()}, may be minutes and seconds, or hours and minutes. Write which into the header, such as "${header} [m:s]" or "${header} [h:m]", or send it in the column map.`,
    [{ line: head.headerLine, column: column.index + 1, message: header }],
    timeProposal(assignment, column.index, ["m:s", "h:m"]),
  );
}
