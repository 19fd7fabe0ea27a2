import { type Labelled, labelCurrentsOf } from "../../core/plan/label-limit.js";

/** What is said of a use that draws more than the maker's label allows. */
export function beyondLabel(peakA: number | null, pack: Labelled): string[] {
  const { labelContinuousA, labelBurstA } = labelCurrentsOf(pack);
  const most = Math.max(labelContinuousA ?? 0, labelBurstA ?? 0);
  if (peakA === null || most === 0) return [];
  const draws = `The use draws up to ${shown(peakA)} A, more than the`;
  if (isBeyond(peakA, most)) return [`${draws} ${shown(most)} A that the maker's label allows at most.`];
  if (labelContinuousA === null || !isBeyond(peakA, labelContinuousA)) return [];
  return [`${draws} ${shown(labelContinuousA)} A of continuous current on the label: it allows that in bursts alone.`];
}

/** A rate times a rated capacity is not exact in binary. */
const isBeyond = (amps: number, limit: number): boolean => amps > limit * (1 + 1e-9);

const shown = (amps: number): number => Number(amps.toPrecision(4));
