import { counted, type Rule } from "../rule.js";

export const DUPLICATE_ROWS: Rule = {
  id: "duplicate-rows",
  observes: "Rows that repeat the row before them in time and every channel; they are merged.",
  why: "Repeated rows would count twice where samples are counted.",
  unit: "1",
  limits: { maximum: "most rows that are usual" },
  assess: ({ run }, limit) => counted(run.samples.duplicates, limit("maximum")),
  seen: (observed) => `Rows that repeat the row before them: ${observed}`,
  missing: null,
  advice: "They were merged; nothing needs to be done.",
};
