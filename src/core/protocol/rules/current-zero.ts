import { type Rule, round } from "../rule.js";

export const CURRENT_ZERO: Rule = {
  id: "current-zero",
  observes:
    "Reading of the current sensor at rest, before the load. Up to the limit it is subtracted, beyond it stays.",
  why: "A sensor that shows much current where none flows is faulty, and its error under load is not known.",
  unit: "A",
  limits: { maximumPercent: "largest reading at rest, % of the load current as logged" },
  assess: ({ run }, limit) => {
    if (!run.zero) return null;
    // A share of the load current as logged, since that is what decides whether the offset is subtracted.
    const loggedA = run.loadCurrentA + (run.zero.subtracted ? run.zero.offsetA : 0);
    const most = (limit("maximumPercent") / 100) * loggedA;
    return { observed: run.zero.offsetA, passes: Math.abs(run.zero.offsetA) <= most, limit: `within +-${round(most)}` };
  },
  seen: (observed) => `At rest the current sensor shows ${observed}`,
  missing: "Less than 1 s of rest was logged before the load, so the current sensor's zero is not known.",
  advice: "Zero the current sensor with nothing connected, and begin the log at least 2 s before the load.",
};
