import { type Rule, within } from "../rule.js";

export const MAX_GAP: Rule = {
  id: "largest-gap",
  observes: "The longest time without a sample between onset and the end of reading.",
  why: "Values in a gap are only a straight line between its ends.",
  unit: "s",
  limits: { maximum: "longest gap allowed, s" },
  assess: ({ run }, limit) => {
    const { seconds, fromS } = run.largestGap;
    return within(seconds, { maximum: limit("maximum") }, { fromS, toS: fromS + seconds });
  },
  seen: (observed) => `The longest gap between samples under load is ${observed}`,
  missing: null,
  advice: "Check the storage and the connection of the logger, and repeat the run.",
};
