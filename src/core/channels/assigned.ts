import type { Channel } from "../model.js";
import type { LogError } from "../table/log-error.js";
import type { CellKind } from "../table/rows/rows-read.js";
import { isClockUnit, type Unit } from "../units/units.js";
import { type Column, NEEDED } from "./column.js";
import { noUnit } from "./refusals.js";
import { timeKindOf } from "./time/time-column.js";

/** A column of the log that was given a channel. */
export interface AssignedColumn {
  readonly channel: Channel;
  readonly index: number;
  readonly kind: CellKind;
  /** null for times that carry their own, and for numbers whose unit only their magnitude may tell. */
  readonly unit: Unit | null;
  /** Why the log is refused when the magnitude does not tell the unit; null when the unit is known. */
  readonly unitMissing: LogError | null;
  /** 1 where the tester says that positive numbers are a discharge, -1 where negative ones are, null where nothing is said. */
  readonly sign: 1 | -1 | null;
}

/** Columns that have their channel by now, by their index, each with why it has it. */
export type Assigned = Map<number, AssignedColumn & { reason: string }>;

export const hasChannel = (assigned: Assigned, channel: Channel): boolean =>
  [...assigned.values()].some((column) => column.channel === channel);

/** @throws LogError when the column needs a unit that is not given */
export function withUnit(column: Column, channel: Channel, unit: Unit | null, headerLine: number): AssignedColumn {
  const { index } = column;
  const known = { channel, index, unitMissing: null, sign: null };
  const written = channel === "time" ? timeKindOf(column) : null;
  if (written) return { ...known, kind: written, unit: unit && isClockUnit(unit) ? unit : null };
  if (unit && !isClockUnit(unit)) return { ...known, kind: "number", unit };
  const refusal = noUnit(column, channel, headerLine);
  const isImplied = NEEDED.includes(channel) || channel === "cell" || channel === "temperature";
  if (!isImplied || column.unknownUnit !== null || unit) throw refusal;
  return { ...known, kind: "number", unit: null, unitMissing: refusal };
}
