import { ADVICE_ON_REPEATS, describeRepeats } from "../../trace/repeats/each-reading-once.js";
import { type Observation, type Rule, within } from "../rule.js";

export const SAMPLING_RATE: Rule = {
  id: "sampling-rate",
  observes:
    "The samples per second between onset and the end of reading, as the median of 1/dt. Where rows repeat the readings of a meter, the new readings per second, of the slower of voltage and current.",
  why: "At a low rate the marks, the peak and the cutoff rest on few samples.",
  unit: "Hz",
  limits: {
    minimum: "lowest sampling rate allowed, Hz",
    tolerancePercent: "how far below it a logger's own clock may keep it, %",
  },
  assess: ({ run }, limit) => {
    const { rateHz } = run.summary;
    const minimum = limit("minimum");
    const passes = rateHz >= (1 - limit("tolerancePercent") / 100) * minimum;
    const observation: Observation = { ...within(rateHz, { minimum }), passes };
    const { repeats } = run;
    return repeats ? { ...observation, place: describeRepeats(repeats), advice: ADVICE_ON_REPEATS } : observation;
  },
  seen: (observed) => `The sampling rate is ${observed}`,
  missing: null,
  advice: "Set the logger to a higher rate, ideally twice what the protocol asks for, and reduce its averaging.",
};
