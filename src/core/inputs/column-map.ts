import { CHANNELS, type ColumnMap } from "../model.js";
import { parseUnit, UNIT_SYMBOLS } from "../units/units.js";
import { type InputError, pointerTo } from "./input-error.js";

const MAPPED: readonly string[] = CHANNELS.filter((channel) => channel !== "cell");

/** Characters of a member's name that an error repeats. */
const SHOWN_CHARACTERS = 60;

/**
 * Reads a column map of unknown content.
 *
 * @param errors receives every problem found
 * @returns the map; null when none was sent
 */
export function readColumnMap(columns: unknown, pointer: string, errors: InputError[]): ColumnMap | null {
  if (columns == null) return null;
  if (typeof columns !== "object" || Array.isArray(columns)) {
    errors.push({ pointer, message: "must be an object" });
    return null;
  }
  for (const [channel, wish] of Object.entries(columns)) errors.push(...problemsOf(channel, wish, pointer));
  return columns as ColumnMap;
}

function problemsOf(channel: string, wish: unknown, parent: string): InputError[] {
  const pointer = pointerTo(parent, channel.slice(0, SHOWN_CHARACTERS));
  if (!MAPPED.includes(channel)) return [{ pointer, message: `is not a channel; there are: ${MAPPED.join(", ")}` }];
  if (isName(wish) || wish === null) return [];
  const isInterval = channel === "time" && typeof wish === "object" && "interval" in wish;
  const members = isInterval ? INTERVAL_MEMBERS : COLUMN_MEMBERS;
  if (typeof wish !== "object" || !(isInterval || "name" in wish || "column" in wish)) {
    return [{ pointer, message: "must be a column's header, null, or an object with its `name` or `column` number" }];
  }
  return Object.entries(wish).flatMap(([member, value]) => {
    const expected = members[member as keyof typeof members];
    const at = pointerTo(pointer, member.slice(0, SHOWN_CHARACTERS));
    if (!expected || (member === "sign" && channel !== "current"))
      return [{ pointer: at, message: "is not known here" }];
    return expected.fits(value) ? [] : [{ pointer: at, message: expected.message }];
  });
}

interface Member {
  readonly fits: (value: unknown) => boolean;
  readonly message: string;
}

const MAX_COLUMNS = 10_000;
const unit: Member = {
  fits: (value) => typeof value === "string" && parseUnit(value) !== null,
  message: `must be one of: ${UNIT_SYMBOLS.join(", ")}`,
};
const COLUMN_MEMBERS: Readonly<Record<string, Member>> = {
  name: { fits: isName, message: "must be a column's header" },
  column: {
    fits: (value) => Number.isInteger(value) && (value as number) >= 1 && (value as number) <= MAX_COLUMNS,
    message: `must be the number of a column, from 1 to ${MAX_COLUMNS}`,
  },
  unit,
  factor: { fits: isPositive, message: "must be a number above 0" },
  sign: {
    fits: (value) => value === "discharge-positive" || value === "discharge-negative",
    message: 'must be "discharge-positive" or "discharge-negative"',
  },
};
const INTERVAL_MEMBERS: Readonly<Record<string, Member>> = {
  interval: { fits: isPositive, message: "must be a number above 0" },
  unit: {
    fits: (value) => unit.fits(value) && parseUnit(value as string)?.dimension === "time",
    message: "must be a unit of time",
  },
};

function isPositive(value: unknown): boolean {
  return typeof value === "number" && value > 0 && value <= 1e12;
}

function isName(value: unknown): value is string {
  return typeof value === "string" && value.trim() !== "" && value.length <= 1000 && !value.includes("\0");
}
