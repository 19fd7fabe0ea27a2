import type { ColumnMap, ColumnWish, RowInterval } from "../model.js";
import { LogError } from "../table/log-error.js";
import { isClockUnit, parseUnit, scaledUnit, type Unit } from "../units/units.js";
import { type Assigned, withUnit } from "./assigned.js";
import { type Column, DIMENSION_OF } from "./column.js";
import { listHeaders, nameOf, startSentence, unitsFor } from "./refusals.js";

export type MappedChannel = keyof ColumnMap;
type Wish = NonNullable<ColumnMap[MappedChannel]>;

const isInterval = (wish: Wish): wish is RowInterval => typeof wish !== "string" && "interval" in wish;

/** The seconds between two rows that a map states in place of a time column, or null. */
export function mappedIntervalS(map: ColumnMap): number | null {
  const wish = map.time;
  if (!wish || !isInterval(wish)) return null;
  return wish.interval * (parseUnit(wish.unit ?? "s")?.factor ?? 1);
}

/** @throws LogError when the log has no such column or several, or when the unit is none of the channel's */
export function assignByMap(
  columns: readonly Column[],
  channel: MappedChannel,
  wish: Wish,
  mapName: string,
  headerLine: number,
  assigned: Assigned,
): void {
  if (isInterval(wish)) return;
  const asked: ColumnWish = typeof wish === "string" ? { name: wish } : wish;
  const column = columnOf(columns, channel, asked, mapName, headerLine);
  const before = assigned.get(column.index);
  if (before) {
    throw new LogError(
      "log-column-ambiguous",
      `${startSentence(mapName)} names ${nameOf(column)} for both ${before.channel} and ${channel}. Name another column for one of them; the log has: ${listHeaders(columns)}.`,
      [{ line: headerLine, column: column.index + 1, message: column.header }],
    );
  }
  const unit = unitOf(column, channel, asked, mapName, headerLine);
  assigned.set(column.index, {
    ...withUnit(column, channel, unit, headerLine),
    sign: asked.sign === undefined ? null : asked.sign === "discharge-positive" ? 1 : -1,
    reason: `named by ${mapName}`,
  });
}

function columnOf(
  columns: readonly Column[],
  channel: MappedChannel,
  { name, column: number }: ColumnWish,
  mapName: string,
  headerLine: number,
): Column {
  if (number !== undefined) {
    const column = columns[number - 1];
    if (column && (name === undefined || column.header === name.trim())) return column;
    const instead = column ? `column ${number} is ${nameOf(column)}, not "${name}"` : `the log has ${columns.length}`;
    throw new LogError(
      "log-column-missing",
      `${startSentence(mapName)} names column ${number} for ${channel}, and ${instead}. Its columns are: ${listHeaders(columns)}.`,
      [{ line: headerLine, message: `column ${number}` }],
    );
  }
  const matches = columns.filter((column) => column.header === (name ?? "").trim());
  const [only] = matches;
  if (only && matches.length === 1) return only;
  throw new LogError(
    only ? "log-column-ambiguous" : "log-column-missing",
    only
      ? `${startSentence(mapName)} names "${name}" for ${channel}, and the log has several such columns. Name it by its number, such as {"${channel}": {"column": ${only.index + 1}}}; they are: ${matches.map(({ index }) => `column ${index + 1}`).join(", ")}.`
      : `${startSentence(mapName)} names "${name}" for ${channel}, and the log has no such column. Its columns are: ${listHeaders(columns)}.`,
    [{ line: headerLine, message: `column "${name}"` }],
  );
}

function unitOf(
  column: Column,
  channel: MappedChannel,
  { unit: spelling, factor = 1 }: ColumnWish,
  mapName: string,
  headerLine: number,
): Unit | null {
  const place = [{ line: headerLine, column: column.index + 1, message: column.header }];
  const stated = spelling === undefined ? column.unit : parseUnit(spelling);
  if (spelling !== undefined && stated?.dimension !== DIMENSION_OF[channel]) {
    throw new LogError(
      "log-unit-missing",
      `${startSentence(mapName)} gives ${channel} the unit "${spelling}", which is none of: ${unitsFor(channel)}.`,
      place,
    );
  }
  const fitting = stated?.dimension === DIMENSION_OF[channel] ? stated : null;
  if (factor === 1) return fitting;
  if (fitting && !isClockUnit(fitting)) return scaledUnit(withoutScale(fitting, spelling), factor);
  throw new LogError(
    "log-unit-missing",
    `${startSentence(mapName)} gives ${channel} the factor ${factor} and no unit of its numbers. Name the unit beside it, one of: ${unitsFor(channel)}.`,
    place,
  );
}

/** A factor of the map takes the place of one in the header. */
const withoutScale = (unit: Unit, spelling: string | undefined): Unit =>
  spelling === undefined ? (parseUnit(unit.symbol) ?? unit) : unit;
