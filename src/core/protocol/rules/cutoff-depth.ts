import { type Rule, within } from "../rule.js";

export const CUTOFF_DEPTH: Rule = {
  id: "cutoff-depth",
  observes: "Time for which the load stayed on after the cutoff; the log is clipped there.",
  why: "Deep discharge harms a pack and makes its next run another pack's.",
  unit: "s",
  limits: { maximum: "longest time that is usual, s" },
  loads: ["full", "set-current", "rate"],
  assess: ({ run }, limit) =>
    run.stop.cutoffS === null
      ? null
      : within(run.clippedS, { maximum: limit("maximum") }, { fromS: run.stop.cutoffS, toS: run.stop.loadEndS }),
  seen: (observed) => `The load stayed on for ${observed} after the cutoff`,
  missing: "The cutoff was not reached.",
  advice:
    "The log was clipped at the cutoff. Deep discharge harms the pack: set the voltage cut-out to the protocol's.",
};
