import { type Rule, within } from "../rule.js";

export const SAMPLING_RATE: Rule = {
  id: "sampling-rate",
  observes: "Samples per second between the onset and the end of reading: the median of 1/dt.",
  why: "Marks, the peak and the cutoff are read from few samples when the rate is low.",
  unit: "Hz",
  limits: { minimum: "least rate, Hz" },
  assess: ({ run }, limit) => within(run.summary.rateHz, { minimum: limit("minimum") }),
  seen: (observed) => `The log has ${observed}`,
  missing: null,
  advice: "Set the logger to a higher rate; 10 samples per second are a good choice.",
};
