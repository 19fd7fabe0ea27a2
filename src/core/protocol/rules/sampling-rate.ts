import { type Rule, within } from "../rule.js";

export const SAMPLING_RATE: Rule = {
  id: "sampling-rate",
  observes: "The samples per second between onset and the end of reading, as the median of 1/dt.",
  why: "At a low rate the marks, the peak and the cutoff rest on few samples.",
  unit: "Hz",
  limits: {
    minimum: "lowest sampling rate allowed, Hz",
    tolerancePercent: "how far below it a logger's own clock may keep it, %",
  },
  assess: ({ run }, limit) => {
    const { rateHz } = run.summary;
    const minimum = limit("minimum");
    return { ...within(rateHz, { minimum }), passes: rateHz >= (1 - limit("tolerancePercent") / 100) * minimum };
  },
  seen: (observed) => `The sampling rate is ${observed}`,
  missing: null,
  advice: "Set the logger to a higher rate, ideally twice what the protocol asks for, and reduce its averaging.",
};
