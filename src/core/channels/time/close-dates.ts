import type { Adjustment } from "../../model.js";
import { parseOpenDate } from "../../table/cells/date-text.js";
import type { DatesSeen } from "../../table/cells/time-cells.js";
import type { DateOrder } from "../../units/units.js";

export interface ClosedDates {
  /** Days since 1970 of each date, in the order in which they came. */
  readonly days: readonly number[];
  readonly adjustments: readonly Adjustment[];
}

/**
 * The days of dates whose parts may stand in several orders: in the order that is stated, or the only one in which all of them are
 * dates. Where all rows share one day, the order changes nothing. null when several orders are left.
 */
export function closeDates({ texts, orders }: DatesSeen, stated: DateOrder | null): ClosedDates | null {
  if (texts.length <= 1 && orders.length > 0) return { days: texts.map(() => 0), adjustments: [] };
  const [only] = stated ? orders.filter((order) => order === stated) : orders;
  if (!only || (!stated && orders.length > 1)) return null;
  const days = texts.map((text) => parseOpenDate(text)?.[only] ?? Number.NaN);
  if (stated) return { days, adjustments: [] };
  const implied: Adjustment = {
    kind: "date-order-implied",
    message: `The dates, such as "${texts[0]}" and "${texts.at(-1)}", are dates of a calendar in the order ${only} alone, and were read so.`,
    before: null,
    after: null,
    unit: only,
  };
  return { days, adjustments: [implied] };
}
