import { median } from "../statistics/median.js";
import { CLOSE, type FoldedLoads } from "./fold-loads.js";
import { DEMAND_UNITS, type LogDemand, type LoggedLoad } from "./log-demand.js";
import { MAX_PREDICTED_PACKS, MAX_STRETCHES, USUAL_RESERVE } from "./use.js";

export const USE_REMARKS = [
  "gaps-bridged",
  "sampled-slowly",
  "loads-averaged",
  "loads-reordered",
  "spikes-left",
  "costly",
] as const;
/** What of a use that was made of a log is less sure than it looks. */
export interface UseRemark {
  readonly kind: (typeof USE_REMARKS)[number];
  readonly message: string;
}

/** Samples are so far apart at least, s, and so many times as far as the usual ones, where a gap is told of. */
const GAP_S = 2;
const GAP_FACTOR = 5;
/** Samples that are usually farther apart than this, s, do not show bursts. */
const SLOW_S = 1;

export function logRemarks(load: LoggedLoad, folded: FoldedLoads, demand: LogDemand): UseRemark[] {
  const { stretches } = folded;
  const packs = Math.floor(MAX_STRETCHES.prediction / stretches);
  const remarks = [...samplingRemarks(load, demand), ...foldingRemarks(folded, demand)];
  if (packs < MAX_PREDICTED_PACKS) {
    const selected = Math.floor(MAX_STRETCHES.selection / stretches);
    const message = `With a reserve of ${100 * USUAL_RESERVE} % this use takes ${stretches} stretches to compute: ask predictions of ${packs} ${packs === 1 ? "pack" : "packs"} at a time, and selections of classes with up to ${selected} packs that have a model; of fewer with a larger reserve. A shorter log takes less.`;
    remarks.push({ kind: "costly", message });
  }
  return remarks;
}

/** A gap is drawn through as a straight line between its ends. */
function samplingRemarks({ time, value }: LoggedLoad, demand: LogDemand): UseRemark[] {
  const intervals = Float64Array.from(
    { length: time.length - 1 },
    (_, i) => (time[i + 1] as number) - (time[i] as number),
  );
  const usual = median(intervals);
  const remarks: UseRemark[] = [];
  if (usual > SLOW_S) {
    const message = `The log has a sample every ${tidy(usual)} s: what was drawn between two samples is not known, and shorter bursts are missing.`;
    remarks.push({ kind: "sampled-slowly", message });
  }
  const least = Math.max(GAP_S, GAP_FACTOR * usual);
  let [count, longest, seconds, bridged, all] = [0, 0, 0, 0, 0];
  intervals.forEach((interval, i) => {
    const drawn = (interval * ((value[i] as number) + (value[i + 1] as number))) / 2;
    all += drawn;
    if (interval <= least) return;
    [count, seconds, bridged, longest] = [count + 1, seconds + interval, bridged + drawn, Math.max(longest, interval)];
  });
  if (count > 0) {
    const gaps =
      count === 1
        ? `a gap of ${tidy(longest)} s`
        : `${count} gaps of ${tidy(seconds)} s together, the longest of ${tidy(longest)} s`;
    const what = demand === "power" ? "energy" : "charge";
    const message = `The log has ${gaps}. The load was taken to go on evenly from one end to the other: ${tidy((100 * bridged) / all)} % of the ${what} of this use was not logged.`;
    remarks.push({ kind: "gaps-bridged", message });
  }
  return remarks;
}

function foldingRemarks(
  { within, orderedWithinS, pieceS, loggedPeak, peak }: FoldedLoads,
  demand: LogDemand,
): UseRemark[] {
  const unit = DEMAND_UNITS[demand];
  const lowered = `The largest load of ${tidy(pieceS)} s is ${tidy(loggedPeak)} ${unit} in the log and ${tidy(peak)} ${unit} in the steps.`;
  if (orderedWithinS !== null) {
    const message = `The load changes too often for a use of its length: within ${tidy(orderedWithinS)} s at a time loads were put in rising order, and those within ${100 * within} % of the largest were averaged. ${lowered}`;
    return [{ kind: "loads-reordered", message }];
  }
  if (within === CLOSE[0]) return [];
  const message = `Loads in a row that lie within ${100 * within} % of the largest were averaged, since the use would be too large to compute. ${lowered}`;
  return [{ kind: "loads-averaged", message }];
}

const tidy = (value: number): number => Number(value.toPrecision(3));
