import { ADVICE_ON_REPEATS, describeRepeats } from "../../trace/repeats/each-reading-once.js";
import { type Observation, type Rule, within } from "../rule.js";

/** A gap of repeated readings that is longer than so many of their intervals is one of the logger. */
const MAX_INTERVALS = 1.5;

export const MAX_GAP: Rule = {
  id: "largest-gap",
  observes:
    "The longest time without a sample between onset and the end of reading. Rows that repeat a reading are no samples.",
  why: "Values in a gap are only a straight line between its ends.",
  unit: "s",
  limits: { maximum: "longest gap allowed, s" },
  assess: ({ run }, limit) => {
    const { repeats } = run;
    const { seconds, fromS } = run.largestGap;
    const observation: Observation = within(seconds, { maximum: limit("maximum") }, { fromS, toS: fromS + seconds });
    if (!repeats || seconds > MAX_INTERVALS * repeats.intervalS) return observation;
    return { ...observation, place: describeRepeats(repeats), advice: ADVICE_ON_REPEATS };
  },
  seen: (observed) => `The longest gap between samples under load is ${observed}`,
  missing: null,
  advice: "Check the storage and the connection of the logger, and repeat the run.",
};
