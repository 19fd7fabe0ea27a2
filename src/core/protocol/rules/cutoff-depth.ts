import { type Rule, within } from "../rule.js";

export const CUTOFF_DEPTH: Rule = {
  id: "cutoff-depth",
  observes: "The time for which the load stayed on after the cutoff. The log is clipped at the cutoff.",
  why: "Deep discharge damages a pack. Its next run then shows a different pack.",
  unit: "s",
  limits: { maximum: "longest usual time, s" },
  loads: ["full", "set-current", "rate"],
  assess: ({ run }, limit) =>
    run.stop.cutoffS === null
      ? null
      : within(run.clippedS, { maximum: limit("maximum") }, { fromS: run.stop.cutoffS, toS: run.stop.loadEndS }),
  seen: (observed) => `The load stayed on for ${observed} after the cutoff`,
  missing: "The run did not reach the cutoff.",
  advice:
    "The log was clipped at the cutoff. Deep discharge damages the pack. Set the low-voltage cut-out of your load to the cutoff of the protocol.",
};
