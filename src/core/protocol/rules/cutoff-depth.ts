import { type Rule, within } from "../rule.js";

/** Loaded time after the cutoff; it was clipped. */
export const CUTOFF_DEPTH: Rule = {
  id: "cutoff-depth",
  assess: ({ run }, limit) =>
    run.stop.cutoffS === null
      ? null
      : within(run.clippedS, { maximum: limit("maximum") }, { fromS: run.stop.cutoffS, toS: run.stop.loadEndS }),
  seen: (observed) => `The load stayed on for ${observed} after the cutoff`,
  missing: "The cutoff was not reached.",
  advice:
    "The log was clipped at the cutoff. Deep discharge harms the pack: set the voltage cut-out to the protocol's.",
};
