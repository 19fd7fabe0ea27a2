import type { InputReference } from "../figures/evaluation-input.js";
import type { PulseLevels } from "../figures/pulse-readings.js";
import type { PackFacts } from "../model.js";
import { referenceOhm } from "../translation/translate.js";
import type { ProtocolDocument } from "./document.js";

const SECONDS_PER_HOUR = 3600;

/** 1 It in A: the rated capacity in Ah taken as a current (IEC 61960-3). */
export const oneIt = (pack: PackFacts): number => pack.ratedCapacityMah / 1000;

/** The load that runs of a pack are translated to, or null when the protocol names none. */
export function referenceOf({ load, cells }: ProtocolDocument, pack: PackFacts): InputReference | null {
  const { cutoff, nominal, settled } = cells[pack.chemistry];
  if (load.kind !== "full" || cutoff === null) return null;
  const { rateIt, lowestRatio, highestRatio, surfaceChargeShare } = load.reference;
  return {
    ohm: referenceOhm(pack, nominal, rateIt),
    lowestRatio,
    highestRatio,
    cutoffVolts: pack.series * cutoff,
    settledVolts: pack.series * settled,
    surfaceChargeC: surfaceChargeShare * oneIt(pack) * SECONDS_PER_HOUR,
  };
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
