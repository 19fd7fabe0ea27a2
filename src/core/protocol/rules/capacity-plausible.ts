import { figureValue, type Rule, readingSpan, within } from "../rule.js";

/** Capacity delivered as a share of the rated capacity. A run that ended early gives only a bound, which is not judged. */
export const CAPACITY_PLAUSIBLE: Rule = {
  id: "capacity-plausible",
  assess: (test, limit) => {
    const share = figureValue(test, "capacity-share");
    if (share === null || test.run.stop.cutoffS === null) return null;
    return within(
      100 * share,
      { minimum: limit("minimumPercent"), maximum: limit("maximumPercent") },
      readingSpan(test),
    );
  },
  seen: (observed) => `The pack delivered ${observed} of its rated capacity`,
  missing: "The cutoff was not reached, so the capacity is only a lower bound.",
  advice: "Check the pack's rated capacity, the unit of the current, and the current sensor.",
};
