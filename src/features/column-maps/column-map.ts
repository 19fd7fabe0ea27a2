import { readColumnMap } from "../../core/inputs/column-map.js";
import type { InputError } from "../../core/inputs/input-error.js";
import type { ColumnMap, ColumnWish, SavedColumnMap } from "../../core/model.js";
import { invalidInput } from "../../platform/http/requests/input.pipe.js";

/**
 * The column map of a run as core takes it; null when none was sent.
 *
 * @throws Problem `invalid-input` with every problem of it
 */
export function columnMapOf(columns: object | null | undefined): ColumnMap | null {
  const errors: InputError[] = [];
  const map = readColumnMap(columns, "/columns", errors);
  if (errors.length > 0) throw invalidInput(errors);
  return map;
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
    if (wish === null || (typeof wish === "object" && !("name" in wish && typeof wish.name === "string")))
      return numberErrors(channel, wish, header);
    const name = (typeof wish === "string" ? wish : ((wish as ColumnWish).name ?? "")).trim();
    const count = header.filter((cell) => cell === name).length;
    const times = count === 0 ? "does not stand" : "stands more than once";
    return count === 1 ? [] : [{ pointer: `/columns/${channel}`, message: `${times} in the header row` }];
  });
  if (Object.keys(columns).length === 0) faults.push({ pointer: "/columns", message: "must name a column" });
  if (faults.length > 0) throw invalidInput(faults);
  return { label: input.label, header, columns };
}

/** A column that is named by its number alone stands in the header row. */
function numberErrors(channel: string, wish: unknown, header: readonly string[]): InputError[] {
  const { column } = (wish ?? {}) as ColumnWish;
  if (column === undefined || column <= header.length) return [];
  return [
    { pointer: `/columns/${channel}`, message: `must be a column of the header row, which has ${header.length}` },
  ];
}
