import type { Channel, ColumnMap, ColumnWish } from "../model.js";
import { isTime } from "../table/cells/time-text.js";
import { numberIn } from "../table/layout/judge.js";
import { type ColumnProposal, LogError } from "../table/log-error.js";
import type { TableHead } from "../table/table.js";
import { plausibleUnits } from "./implied-unit.js";

const MAX_CANDIDATES = 24;

/**
 * Refuses a log without names for its columns, unless the map names them by their numbers; with the maps under which its numbers are
 * those of a pack's discharge.
 *
 * @throws LogError as the layout left it, with the candidates
 */
export function refuseUnnamed(head: TableHead, map: ColumnMap): void {
  const refusal = head.headerRefusal;
  if (!refusal || Object.values(map).some((wish) => typeof wish === "object" && wish !== null && "column" in wish))
    return;
  throw new LogError(refusal.code, refusal.message, refusal.places, proposalOf(head));
}

function proposalOf(head: TableHead): ColumnProposal {
  const columns = head.headers.map((_, index) => {
    const cells = head.sample.map((row) => row[index] ?? "");
    return { index, isClock: isTime(cells[0] ?? ""), values: cells.map((cell) => numberIn(cell, head.decimalMark)) };
  });
  const wishes = (channel: Channel): ColumnWish[] =>
    columns.flatMap(({ index, isClock, values }): ColumnWish[] => {
      if (isClock) return channel === "time" ? [{ column: index + 1 }] : [];
      const numbers = Float64Array.from(values.filter((value) => !Number.isNaN(value)));
      if (numbers.length < head.sample.length / 2) return [];
      return plausibleUnits(channel, numbers).map((unit) => ({ column: index + 1, unit }));
    });
  const candidates = wishes("time").flatMap((time) =>
    wishes("voltage").flatMap((voltage) =>
      wishes("current").flatMap((current) => {
        const used = new Set([time.column, voltage.column, current.column]);
        return used.size === 3 ? [{ channel: "time" as const, columns: { time, voltage, current } }] : [];
      }),
    ),
  );
  return { columns: {}, candidates: candidates.slice(0, MAX_CANDIDATES) };
}
