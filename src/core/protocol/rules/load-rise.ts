import { type Rule, within } from "../rule.js";

/** Time in which the current rises from 10 % to 90 % of the load current. */
export const LOAD_RISE: Rule = {
  id: "load-rise",
  assess: ({ run }, limit) =>
    run.riseS === null ? null : within(run.riseS, { maximum: limit("maximum") }, { fromS: -run.riseS, toS: run.riseS }),
  seen: (observed) => `The load rises in ${observed}`,
  missing: "The log begins under load, so its rise was not seen.",
  advice: "Begin the log before the load, and apply the load at once.",
};
