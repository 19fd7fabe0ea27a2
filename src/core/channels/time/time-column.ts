import type { TimeKind } from "../../table/cells/time-cells.js";
import { isDate, isInstant, isTime, parseClock, parseDate, parseIsoInstant } from "../../table/cells/time-text.js";
import type { Column } from "../column.js";

/** From here on a time is no count from the start of a log but one since 1970, in whatever unit. */
const MIN_EPOCH = 1e8;

/** How the cells of a time column are written; null for numbers. */
export function timeKindOf({ firstCell }: Column): TimeKind | null {
  if (parseClock(firstCell)) return "clock";
  if (parseIsoInstant(firstCell)) return "iso";
  return isInstant(firstCell) ? "open-iso" : null;
}

/** The one column of dates, and how they are written; null when there is none, or several. */
export function dateBeside(columns: readonly Column[]): { readonly column: Column; readonly kind: TimeKind } | null {
  const [column, ...others] = columns.filter(({ firstCell }) => isDate(firstCell));
  if (!column || others.length > 0) return null;
  return { column, kind: parseDate(column.firstCell) === null ? "open-date" : "date" };
}

/**
 * Of several columns that are the time, the one to take where their kinds settle it: a counted time in a known unit goes
 * before wall clocks, and a wall clock before counts of no known unit. null when two are alike.
 */
export function oneTimeOf(choice: readonly Column[]): { column: Column; reason: string } | null {
  if (choice.length < 2) return null;
  const walls = choice.filter(({ firstCell }) => isTime(firstCell));
  const counted = choice.filter((column) => !walls.includes(column) && column.unit !== null);
  if (counted.length === 1 && walls.length === choice.length - 1) {
    return { column: counted[0] as Column, reason: "the counted time, which goes before the time of day beside it" };
  }
  if (counted.length === 0 && walls.length === 1) {
    return { column: walls[0] as Column, reason: "the time of day, which needs no unit" };
  }
  return null;
}

/** What may be subtracted from every reading so that the decimals of times since 1970 survive in a double. */
export function epochOrigin(firstCell: string, decimalMark: string): number {
  const first = Math.floor(Number(firstCell.replace(decimalMark, ".")));
  return first >= MIN_EPOCH && Number.isSafeInteger(first) ? first : 0;
}
