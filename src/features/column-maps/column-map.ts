import { CHANNELS, type Channel, type ColumnMap, type SavedColumnMap } from "../../core/model.js";
import { parseUnit, UNIT_SYMBOLS } from "../../core/units/units.js";
import { invalidInput } from "../../platform/http/input.pipe.js";
import type { InputError } from "../../platform/problems/problem.js";

type MappedChannel = Exclude<Channel, "cell">;
const MAPPED: readonly string[] = CHANNELS.filter((channel) => channel !== "cell");

/** The column map of a run as core takes it; every fault in it is named. Null when none was sent. */
export function columnMapOf(columns: object | null | undefined): ColumnMap | null {
  if (!columns) return null;
  const faults = Object.entries(columns).flatMap(([channel, wish]) => inputErrorsOf(channel, wish));
  if (faults.length > 0) throw invalidInput(faults);
  return columns as Record<MappedChannel, string | { name: string; unit: string }>;
}

/**
 * A column map to be kept for a header row: the column that it names for a channel stands in that row, once.
 *
 * @throws Problem `invalid-input` with every fault
 */
export function savedMapOf(input: { label: string; header: readonly string[]; columns: object }): SavedColumnMap {
  const header = input.header.map((cell) => cell.trim());
  const columns = columnMapOf(input.columns) ?? {};
  const faults = Object.entries(columns).flatMap(([channel, wish]) => {
    const name = (typeof wish === "string" ? wish : wish.name).trim();
    const count = header.filter((cell) => cell === name).length;
    const times = count === 0 ? "does not stand" : "stands more than once";
    return count === 1 ? [] : [{ pointer: `/columns/${channel}`, message: `${times} in the header row` }];
  });
  if (Object.keys(columns).length === 0) faults.push({ pointer: "/columns", message: "must name a column" });
  if (faults.length > 0) throw invalidInput(faults);
  return { label: input.label, header, columns };
}

function inputErrorsOf(channel: string, wish: unknown): InputError[] {
  const pointer = `/columns/${channel.slice(0, 60).replaceAll("~", "~0").replaceAll("/", "~1")}`;
  if (!MAPPED.includes(channel)) return [{ pointer, message: `is no channel; there are: ${MAPPED.join(", ")}` }];
  if (isName(wish)) return [];
  if (typeof wish !== "object" || wish === null || !("name" in wish) || !isName(wish.name)) {
    return [{ pointer, message: "must be a column's header, or {name, unit}" }];
  }
  const { name: _, unit, ...others } = wish as { name: string; unit?: unknown };
  if (typeof unit !== "string" || !parseUnit(unit)) {
    return [{ pointer: `${pointer}/unit`, message: `must be one of: ${UNIT_SYMBOLS.join(", ")}` }];
  }
  return Object.keys(others).map((member) => ({
    pointer: `${pointer}/${member.slice(0, 60)}`,
    message: "is not known here",
  }));
}

function isName(value: unknown): value is string {
  return typeof value === "string" && value.trim() !== "" && value.length <= 1000 && !value.includes("\0");
}
