import type { SubjectTranslation } from "../figures/evaluation-input.js";
import type { PulseLevels } from "../figures/pulse-readings.js";
import type { PackFacts } from "../model.js";
import type { ProtocolDocument } from "./document.js";

/** 1 It in A: the rated capacity in Ah taken as a current (IEC 61960-3). */
export const oneIt = (pack: Pick<PackFacts, "ratedCapacityMah">): number => pack.ratedCapacityMah / 1000;

/** How runs of a pack are translated, or null when the protocol asks for no such thing. Nothing of it depends on the pack's label. */
export function translationOf(
  { load, cells }: ProtocolDocument,
  { chemistry, series }: PackFacts,
): SubjectTranslation | null {
  const { cutoff } = cells[chemistry];
  if (load.kind !== "full" || cutoff === null) return null;
  const { lowestRatio, highestRatio } = load.translation;
  return { chemistry, lowestRatio, highestRatio, cutoffVolts: series * cutoff };
}

/** The levels of a two-pulse load for a pack, or null for any other load. */
export function pulsesOf({ load }: ProtocolDocument, pack: PackFacts): PulseLevels | null {
  if (load.kind !== "two-pulse") return null;
  const { first, second } = load;
  return { firstA: first.rateIt * oneIt(pack), secondA: second.rateIt * oneIt(pack), secondSeconds: second.seconds };
}

/** The current that a run was to hold, A; null when its protocol asks for none or none was declared. */
export function setCurrentOf({ load }: ProtocolDocument, pack: PackFacts, setpointA: number | null): number | null {
  if (load.kind === "rate") return load.rateIt * oneIt(pack);
  return load.kind === "set-current" ? setpointA : null;
}
