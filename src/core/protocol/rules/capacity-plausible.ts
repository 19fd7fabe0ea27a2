import { figureValue, type Rule, readingSpan, within } from "../rule.js";

export const CAPACITY_PLAUSIBLE: Rule = {
  id: "capacity-plausible",
  observes:
    "Capacity delivered to the cutoff as a share of the rated capacity. The capacity of a run that ended early is only a bound and is not judged.",
  why: "A share far from 1 mostly means a wrong unit, a wrong pack or a faulty current sensor.",
  unit: "%",
  limits: {
    minimumPercent: "least share that is believable, %",
    maximumPercent: "largest share that is believable, %",
  },
  loads: ["full", "set-current", "rate"],
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
