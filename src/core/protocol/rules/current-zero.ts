import { type Rule, round } from "../rule.js";

export const CURRENT_ZERO: Rule = {
  id: "current-zero",
  observes:
    "The reading of the current sensor at rest, before the load. It is subtracted up to the limit. A larger reading is not corrected.",
  why: "A sensor that shows a large current when none flows is faulty. Its error under load is unknown.",
  unit: "A",
  limits: { maximumPercent: "largest reading at rest, % of the logged load current" },
  assess: ({ run }, limit) => {
    if (!run.zero) return null;
    // A share of the load current as logged, since that is what decides whether the offset is subtracted.
    const loggedA = run.loadCurrentA + (run.zero.subtracted ? run.zero.offsetA : 0);
    const most = (limit("maximumPercent") / 100) * loggedA;
    return { observed: run.zero.offsetA, passes: Math.abs(run.zero.offsetA) <= most, limit: `within +-${round(most)}` };
  },
  seen: (observed) => `The current sensor reads ${observed} at rest`,
  missing: "The log has less than 1 s of rest before the load, so the zero of the current sensor is unknown.",
  advice: "Zero the current sensor with nothing connected, and start the log at least 2 s before the load.",
};
