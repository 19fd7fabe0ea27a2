import { type Rule, within } from "../rule.js";

export const LOAD_RISE: Rule = {
  id: "load-rise",
  observes: "Time in which the current rises from 10 % to 90 % of the load current.",
  why: "A load that comes on slowly warms and drains the pack before the marks are read.",
  unit: "s",
  limits: { maximum: "longest rise that is allowed, s" },
  assess: ({ run }, limit) =>
    run.riseS === null ? null : within(run.riseS, { maximum: limit("maximum") }, { fromS: -run.riseS, toS: run.riseS }),
  seen: (observed) => `The load rises in ${observed}`,
  missing: "The log begins under load, so its rise was not seen.",
  advice: "Begin the log before the load, and apply the load at once.",
};
