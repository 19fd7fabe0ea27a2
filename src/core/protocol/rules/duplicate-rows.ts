import { counted, type Rule } from "../rule.js";

/** Rows that repeat the row before them in time and every channel; they are merged. */
export const DUPLICATE_ROWS: Rule = {
  id: "duplicate-rows",
  assess: ({ run }, limit) => counted(run.samples.duplicates, limit("maximum")),
  seen: (observed) => `Rows that repeat the row before them: ${observed}`,
  missing: "The log has no rows.",
  advice: "They were merged; nothing needs to be done.",
};
