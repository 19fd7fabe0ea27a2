import { counted, type Rule } from "../rule.js";

export const DUPLICATE_ROWS: Rule = {
  id: "duplicate-rows",
  observes:
    "The number of rows that repeat the previous row in time and every channel, in the part of the log that is evaluated. They are merged.",
  why: "Repeated rows would be counted twice.",
  unit: "rows",
  limits: { maximum: "largest usual number of rows" },
  assess: ({ run }, limit) => counted(run.part.duplicates, limit("maximum")),
  seen: (observed) => `Duplicate rows: ${observed}`,
  missing: null,
  advice: "The rows were merged. You do not need to do anything.",
};
