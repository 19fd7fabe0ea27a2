import { counted, type Rule } from "../rule.js";

export const TIME_RISES: Rule = {
  id: "time-rises",
  observes:
    "The number of rows whose time is not later than that of the previous row, in the part of the log that is evaluated. Exact duplicates do not count. The rows are left out.",
  why: "If the clock steps back, or two runs are in one log, the order of the samples is unclear.",
  unit: "rows",
  limits: { maximum: "largest number of rows allowed" },
  assess: ({ run }, limit) => counted(run.part.unordered, limit("maximum")),
  seen: (observed) => `Rows whose time does not increase: ${observed}`,
  missing: null,
  advice: "Upload one log of one run as the logger wrote it. Do not set the clock during the run.",
};
