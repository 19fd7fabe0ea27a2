import { CHANNELS, type Channel, type ColumnMap } from "../model.js";
import { parseUnit, UNIT_SYMBOLS } from "../units/units.js";
import { type InputError, pointerTo } from "./input-error.js";

type MappedChannel = Exclude<Channel, "cell">;
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
  return columns as Record<MappedChannel, string | { name: string; unit: string }>;
}

function problemsOf(channel: string, wish: unknown, parent: string): InputError[] {
  const pointer = pointerTo(parent, channel.slice(0, SHOWN_CHARACTERS));
  if (!MAPPED.includes(channel)) return [{ pointer, message: `is not a channel; there are: ${MAPPED.join(", ")}` }];
  if (isName(wish)) return [];
  if (typeof wish !== "object" || wish === null || !("name" in wish) || !isName(wish.name)) {
    return [{ pointer, message: "must be a column's header, or {name, unit}" }];
  }
  const { name: _, unit, ...others } = wish as { name: string; unit?: unknown };
  if (typeof unit !== "string" || !parseUnit(unit)) {
    return [{ pointer: `${pointer}/unit`, message: `must be one of: ${UNIT_SYMBOLS.join(", ")}` }];
  }
  return Object.keys(others).map((member) => ({
    pointer: pointerTo(pointer, member.slice(0, SHOWN_CHARACTERS)),
    message: "is not known here",
  }));
}

function isName(value: unknown): value is string {
  return typeof value === "string" && value.trim() !== "" && value.length <= 1000 && !value.includes("\0");
}
