import { type Rule, within } from "../rule.js";

/** The longest time without a sample between onset and the end of reading. */
export const LARGEST_GAP: Rule = {
  id: "largest-gap",
  assess: ({ run }, limit) => {
    const { seconds, fromS } = run.largestGap;
    return within(seconds, { maximum: limit("maximum") }, { fromS, toS: fromS + seconds });
  },
  seen: (observed) => `The longest time without a sample under load is ${observed}`,
  missing: "The log has no samples under load.",
  advice: "Check the logger's storage and connection, and log the run again.",
};
