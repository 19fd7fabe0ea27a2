import type { ColumnMap } from "../model.js";
import { LogError } from "../table/log-error.js";
import { parseUnit } from "../units/units.js";
import { type Assigned, withUnit } from "./assigned.js";
import { type Column, DIMENSION_OF } from "./column.js";
import { listHeaders, startSentence, unitsFor } from "./refusals.js";

export type MappedChannel = keyof ColumnMap;

/** @throws LogError when the log has no such column or several, or when the unit is none of the channel's */
export function assignByMap(
  columns: readonly Column[],
  channel: MappedChannel,
  wish: NonNullable<ColumnMap[MappedChannel]>,
  mapName: string,
  headerLine: number,
  assigned: Assigned,
): void {
  const name = typeof wish === "string" ? wish : wish.name;
  const matches = columns.filter((column) => column.header === name.trim());
  const [column] = matches;
  if (!column || matches.length > 1) {
    throw new LogError(
      column ? "log-column-ambiguous" : "log-column-missing",
      `${startSentence(mapName)} names "${name}" for ${channel}, and the log has ${column ? "several such columns" : "no such column"}. Its columns are: ${listHeaders(columns)}.`,
      [{ line: headerLine, message: `column "${name}"` }],
    );
  }
  const stated = typeof wish === "string" ? column.unit : parseUnit(wish.unit);
  if (typeof wish !== "string" && (!stated || stated.dimension !== DIMENSION_OF[channel])) {
    throw new LogError(
      "log-unit-missing",
      `${startSentence(mapName)} gives ${channel} the unit "${wish.unit}", which is none of: ${unitsFor(channel)}.`,
      [{ line: headerLine, column: column.index + 1, message: column.header }],
    );
  }
  const fitting = stated?.dimension === DIMENSION_OF[channel] ? stated : null;
  assigned.set(column.index, {
    ...withUnit(column, channel, fitting, headerLine),
    reason: `named by ${mapName}`,
  });
}
