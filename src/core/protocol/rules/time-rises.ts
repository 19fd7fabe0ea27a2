import { counted, type Rule } from "../rule.js";

/** Rows whose time is not after that of the row before, exact duplicates aside. */
export const TIME_RISES: Rule = {
  id: "time-rises",
  assess: ({ run }, limit) => counted(run.samples.unordered, limit("maximum")),
  seen: (observed) => `Rows whose time does not rise: ${observed}`,
  missing: "The log has no times.",
  advice: "Upload one log of one run, as the logger wrote it, with a clock that is not set during the run.",
};
