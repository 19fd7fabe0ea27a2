import type { Channel } from "../model.js";
import { type Assigned, withUnit } from "./assigned.js";
import { type Column, couldBe, hasWord, isForeign, isQualified, NEEDED, namesTemperature } from "./column.js";
import { ambiguous } from "./refusals.js";
import { dateBeside, oneTimeOf } from "./time-column.js";
import { WORDS_OF_PACK } from "./words.js";

export function assignCells(columns: readonly Column[], assigned: Assigned): void {
  for (const column of columns) {
    const numbered = column.words.some((word) => /^\d+$/.test(word));
    const named = hasWord(column, "cell") || column.words.some((word) => /^(u|v|c)$/.test(word));
    if (assigned.has(column.index) || column.unit?.dimension !== "voltage" || !numbered || !named) continue;
    assigned.set(column.index, {
      channel: "cell",
      index: column.index,
      kind: "number",
      unit: column.unit,
      unitMissing: null,
      reason: "a cell by its number",
    });
  }
}

export function assignTemperatures(columns: readonly Column[], assigned: Assigned): void {
  for (const column of columns) {
    const fits = column.unit?.dimension === "temperature" && !isForeign(column) && namesTemperature(column);
    if (assigned.has(column.index) || !fits) continue;
    assigned.set(column.index, {
      channel: "temperature",
      index: column.index,
      kind: "number",
      unit: column.unit,
      unitMissing: null,
      reason: "a temperature by its unit",
    });
  }
}

/** @throws LogError when several columns could be a channel that is needed */
export function assignByHeader(
  columns: readonly Column[],
  channel: Channel,
  headerLine: number,
  assigned: Assigned,
): void {
  if ([...assigned.values()].some((column) => column.channel === channel)) return;
  const free = columns.filter(
    (column) => !assigned.has(column.index) && !isForeign(column) && couldBe(column, channel),
  );
  const named = withoutStatistics(free.filter((column) => hasWord(column, channel)));
  const ofPack = named.filter((column) => column.words.some((word) => WORDS_OF_PACK.has(word)));
  const choice = named.length > 1 && ofPack.length === 1 ? ofPack : named.length > 0 ? named : withoutStatistics(free);
  const oneTime = channel === "time" ? oneTimeOf(choice) : null;
  const column = oneTime?.column ?? choice[0];
  if (!column) return;
  if (choice.length > 1 && !oneTime) {
    if (!NEEDED.includes(channel)) return;
    throw ambiguous(channel, choice, headerLine);
  }
  const byHeader = hasWord(column, channel) ? `named ${channel} in its header` : "the only column in such a unit";
  const reason = oneTime?.reason ?? byHeader;
  assigned.set(column.index, { ...withUnit(column, channel, column.unit, headerLine), reason });
}

/** Statistics yield to the readings they are of. */
function withoutStatistics(choice: readonly Column[]): readonly Column[] {
  const readings = choice.filter((column) => !isQualified(column));
  return readings.length > 0 ? readings : choice;
}

/** A date beside a clock says on which day it is. */
export function assignDate(columns: readonly Column[], assigned: Assigned): void {
  const clock = [...assigned.values()].find(({ channel, kind }) => channel === "time" && kind === "clock");
  const date = clock && dateBeside(columns.filter(({ index }) => !assigned.has(index)));
  if (!date) return;
  const { index } = date;
  const reason = "the day of the time of day beside it";
  assigned.set(index, { channel: "time", index, kind: "date", unit: null, unitMissing: null, reason });
}
