import type { Channel } from "../model.js";
import { LogError } from "../table/log-error.js";
import type { Rows } from "../table/rows/rows-read.js";
import type { Assignment } from "./assign.js";
import { nameOf } from "./refusals.js";

/** Channels that a log may do without. */
const SPARED: readonly Channel[] = ["temperature", "cell", "power", "charge", "energy"];

/**
 * A column without a number in any row is no channel: an input that nothing was connected to. It is set aside, so that nothing takes a median,
 * an extreme or a unit of it.
 *
 * @throws LogError `log-column-missing` when the current is such a column, or the pack's voltage without a cell's
 */
export function withoutEmptyColumns(
  assignment: Assignment,
  rows: Rows,
): { readonly assignment: Assignment; readonly rows: Rows } {
  const holds = rows.columns.map((values) => values.some(Number.isFinite));
  const hasCells = assignment.columns.some(({ channel }, slot) => channel === "cell" && holds[slot]);
  const needed = ({ channel }: { readonly channel: Channel }) =>
    !(SPARED.includes(channel) || (channel === "voltage" && hasCells)) ||
    (channel === "power" && assignment.currentFromPower);
  const empty = assignment.columns.filter((_, slot) => !holds[slot]);
  const missing = empty.find((column) => needed(column) && column.kind === "number" && column.channel !== "time");
  if (missing) throw nothingIn(assignment, missing.index, missing.channel);
  const cells = assignment.columns.filter(({ channel }) => channel === "cell");
  const hasVoltage = assignment.columns.some(({ channel }) => channel === "voltage");
  const [first] = cells;
  if (first && !hasVoltage && cells.every((cell) => empty.includes(cell))) {
    throw nothingIn(assignment, first.index, "cell");
  }
  const aside = new Set(empty.filter((column) => !needed(column)).map(({ index }) => index));
  if (aside.size === 0) return { assignment, rows };
  const isKept = (slot: number) => !aside.has(assignment.columns[slot]?.index as number);
  const kept = <Part>(parts: readonly Part[]) => parts.filter((_, slot) => isKept(slot));
  return {
    assignment: {
      ...assignment,
      columns: kept(assignment.columns),
      readings: assignment.readings.map((reading, index) =>
        aside.has(index)
          ? { ...reading, channel: null, reason: "left aside, since no row has a number in it" }
          : reading,
      ),
    },
    rows: { ...rows, columns: kept(rows.columns), dates: kept(rows.dates) },
  };
}

function nothingIn({ log, headerLine }: Assignment, index: number, channel: Channel): LogError {
  const column = log[index];
  const name = column ? nameOf(column) : `column ${index + 1}`;
  return new LogError(
    "log-column-missing",
    `The column ${name} was read as the ${channel === "cell" ? "cell voltage" : channel}, and no row has a number in it. Check that the sensor was connected and its channel recorded. If another column holds the ${channel === "cell" ? "voltage" : channel}, name it in the column map.`,
    [{ line: headerLine, column: index + 1, message: column?.header ?? "" }],
  );
}
