import { type Rule, within } from "../rule.js";

/** A logger set to just the least rate meets it, whatever the jitter of its clock. */
const CLOCK_SHARE = 0.01;

export const SAMPLING_RATE: Rule = {
  id: "sampling-rate",
  observes: "Samples per second between the onset and the end of reading: the median of 1/dt.",
  why: "Marks, the peak and the cutoff are read from few samples when the rate is low.",
  unit: "Hz",
  limits: { minimum: "least rate, Hz" },
  assess: ({ run }, limit) => {
    const { rateHz } = run.summary;
    const minimum = limit("minimum");
    return { ...within(rateHz, { minimum }), passes: rateHz >= (1 - CLOCK_SHARE) * minimum };
  },
  seen: (observed) => `The log has ${observed}`,
  missing: null,
  advice: "Set the logger to a higher rate, better to twice what is asked for, and let it average less.",
};
