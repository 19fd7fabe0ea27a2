import { counted, type Rule } from "../rule.js";

export const TIME_RISES: Rule = {
  id: "time-rises",
  observes: "Rows whose time is not after that of the row before, exact duplicates aside; they are left out.",
  why: "A clock that steps back, or two runs in one log, leave open what happened when.",
  unit: "1",
  limits: { maximum: "most rows" },
  assess: ({ run }, limit) => counted(run.samples.unordered, limit("maximum")),
  seen: (observed) => `Rows whose time does not rise: ${observed}`,
  missing: null,
  advice: "Upload one log of one run, as the logger wrote it, with a clock that is not set during the run.",
};
