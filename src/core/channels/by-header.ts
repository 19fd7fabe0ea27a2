import type { Channel } from "../model.js";
import { dateOrderOf } from "../units/units.js";
import { type Assigned, hasChannel, withUnit } from "./assigned.js";
import { type Column, fitOf, isOfPack, NEEDED, names, unknownWords } from "./column.js";
import { ambiguous } from "./refusals.js";
import { dateBeside, oneTimeOf } from "./time/time-column.js";
import { isTapWord, meaningFor } from "./words.js";

/** Numbered voltages that are named as cells, or by a letter with their number. */
export function assignCells(columns: readonly Column[], headerLine: number, assigned: Assigned): void {
  const cells = columns.filter((column) => !assigned.has(column.index) && isCell(column));
  if (cells.length < 2 && !cells.some((column) => names(column, "cell"))) return;
  for (const column of cells) {
    const isTap = column.words.some(isTapWord);
    assigned.set(column.index, {
      ...withUnit(column, "cell", column.unit, headerLine),
      reason: isTap ? "a tap of the pack by its number" : "a cell by its number",
    });
  }
}

function isCell(column: Column): boolean {
  if (column.numbers.length !== 1 || (column.unit !== null && column.unit.dimension !== "voltage")) return false;
  if (column.unit === null && column.unknownUnit !== null) return false;
  const isNamed = names(column, "cell") || column.words.some((word) => /^[uvc]$/.test(word));
  return (
    isNamed && column.words.every((word) => word === "c" || ["quantity", "own"].includes(meaningFor(word, "cell")))
  );
}

export function assignTemperatures(columns: readonly Column[], headerLine: number, assigned: Assigned): void {
  for (const column of columns) {
    const isSaid = column.unit !== null || (names(column, "temperature") && column.unknownUnit === null);
    if (assigned.has(column.index) || !isSaid || fitOf(column, "temperature") !== "taken") continue;
    assigned.set(column.index, {
      ...withUnit(column, "temperature", column.unit, headerLine),
      reason: names(column, "temperature") ? "named temperature in its header" : "a temperature by its unit",
    });
  }
}

/** The columns that are a channel's as far as their headers say: those that name it, else those in such a unit. */
export function choiceFor(columns: readonly Column[], channel: Channel, assigned: Assigned): readonly Column[] {
  const fits = (column: Column) => fitOf(column, channel) === "taken" || isNumberedAlone(column, channel, columns);
  const free = columns.filter((column) => !assigned.has(column.index) && fits(column));
  const named = free.filter((column) => names(column, channel));
  const fitting = named.length > 0 ? named : free;
  const ofPack = fitting.filter(isOfPack);
  const choice = fitting.length > 1 && ofPack.length === 1 ? ofPack : fitting;
  const withUnits = choice.filter(({ unit }) => unit !== null);
  return choice.length > 1 && withUnits.length === 1 && channel !== "time" ? withUnits : choice;
}

/** "Ch1 voltage", where the log has no other such number: it tells nothing apart. */
function isNumberedAlone(column: Column, channel: Channel, columns: readonly Column[]): boolean {
  const isNumber = (word: string) => /^(\d+|ch|channel|kanal|canal|canale|kanaal)$/.test(word);
  if (fitOf(column, channel) !== "unknown" || !unknownWords(column, channel).every(isNumber)) return false;
  const numbered = columns.filter(
    (other) => other.numbers.length > 0 && NEEDED.some((one) => fitOf(other, one) === "unknown"),
  );
  return new Set(numbered.map(({ numbers }) => numbers.join())).size === 1 && column.numbers.length === 1;
}

/** @throws LogError when several columns could be a channel that is needed */
export function assignByHeader(
  columns: readonly Column[],
  channel: Channel,
  headerLine: number,
  assigned: Assigned,
): void {
  if (hasChannel(assigned, channel)) return;
  const choice = choiceFor(columns, channel, assigned);
  const oneTime = channel === "time" ? oneTimeOf(choice) : null;
  const column = oneTime?.column ?? choice[0];
  if (!column) return;
  if (choice.length > 1 && !oneTime) {
    if (!NEEDED.includes(channel)) return;
    throw ambiguous(channel, choice, headerLine);
  }
  if (!NEEDED.includes(channel) && column.unit === null) return;
  const byHeader = names(column, channel) ? `named ${channel} in its header` : "the only column in such a unit";
  assigned.set(column.index, {
    ...withUnit(column, channel, column.unit, headerLine),
    reason: oneTime?.reason ?? byHeader,
  });
}

/** A date beside a clock says on which day it is. */
export function assignDate(columns: readonly Column[], assigned: Assigned): void {
  const clock = [...assigned.values()].find(({ channel, kind }) => channel === "time" && kind === "clock");
  const date = clock && dateBeside(columns.filter(({ index }) => !assigned.has(index)));
  if (!date) return;
  const { index, unit } = date.column;
  assigned.set(index, {
    channel: "time",
    index,
    kind: date.kind,
    unit: dateOrderOf(clock.unit) ? clock.unit : unit,
    unitMissing: null,
    sign: null,
    reason: "the day of the time of day beside it",
  });
}
