import { type Rule, within } from "../rule.js";

export const MAX_GAP: Rule = {
  id: "largest-gap",
  observes: "Longest time without a sample between the onset and the end of reading.",
  why: "What happened in a gap is made up by a straight line.",
  unit: "s",
  limits: { maximum: "longest gap that is allowed, s" },
  assess: ({ run }, limit) => {
    const { seconds, fromS } = run.largestGap;
    return within(seconds, { maximum: limit("maximum") }, { fromS, toS: fromS + seconds });
  },
  seen: (observed) => `The longest time without a sample under load is ${observed}`,
  missing: null,
  advice: "Check the logger's storage and connection, and log the run again.",
};
