import { type Rule, within } from "../rule.js";

/** Samples per second: the median of 1/dt. */
export const SAMPLING_RATE: Rule = {
  id: "sampling-rate",
  assess: ({ run }, limit) => within(run.summary.rateHz, { minimum: limit("minimum") }),
  seen: (observed) => `The log has ${observed}`,
  missing: "The log has no times.",
  advice: "Set the logger to a higher rate; 10 samples per second are a good choice.",
};
