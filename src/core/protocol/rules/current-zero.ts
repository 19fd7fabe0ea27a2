import { type Rule, round } from "../rule.js";

/** U = 2 u. */
const COVERAGE = 2;

export const CURRENT_ZERO: Rule = {
  id: "current-zero",
  observes:
    "The reading of the current sensor at rest, before the load. It is subtracted up to the limit, or up to what the bench states for its sensor where that is more. A larger reading is not corrected. Twice its own standard uncertainty is allowed for.",
  why: "A sensor that shows a large current when none flows is faulty. Its error under load is unknown.",
  unit: "A",
  limits: {
    maximumPercent: "largest reading at rest where the bench states no larger one, % of the logged load current",
  },
  assess: ({ run, bench }, limit) => {
    if (!run.zero) return null;
    const { offsetA, uncertaintyA, subtracted } = run.zero;
    // A share of the load current as logged, since that is what decides whether the offset is subtracted.
    const loggedA = run.loadCurrentA + (subtracted ? offsetA : 0);
    const most = Math.max(bench.current.offset, (limit("maximumPercent") / 100) * loggedA);
    const passes = Math.abs(offsetA) <= most + COVERAGE * uncertaintyA;
    return { observed: offsetA, passes, limit: `within +-${round(most)}` };
  },
  seen: (observed) => `The current sensor reads ${observed} at rest`,
  missing:
    "The log has less than 1 s of rest before the load, or the load grows slowly there: the zero of the current sensor is unknown.",
  advice: "Zero the current sensor with nothing connected, and start the log at least 2 s before the load.",
};
