import { type Rule, within } from "../rule.js";

export const LOAD_RISE: Rule = {
  id: "load-rise",
  observes: "The time in which the current rises from 10 % to 90 % of the load current.",
  why: "A load that comes on slowly warms and discharges the pack before the marks are read.",
  unit: "s",
  limits: { maximum: "longest rise time allowed, s" },
  assess: ({ run }, limit) =>
    run.riseS === null ? null : within(run.riseS, { maximum: limit("maximum") }, { fromS: -run.riseS, toS: run.riseS }),
  seen: (observed) => `The current rises in ${observed}`,
  missing: "The log starts under load, so the rise of the current is unknown.",
  advice: "Start the log before the load, and switch the load on at once.",
};
