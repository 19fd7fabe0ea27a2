import { figureValue, type Rule, readingSpan, within } from "../rule.js";

export const CAPACITY_PLAUSIBLE: Rule = {
  id: "capacity-plausible",
  observes:
    "The capacity delivered to the cutoff, in % of the rated capacity. Runs that ended before the cutoff, and logs that begin under load, are not judged, because their capacity is only a lower bound.",
  why: "A share far from 100 % usually means a wrong unit, a wrong pack or a faulty current sensor.",
  unit: "%",
  limits: {
    minimumPercent: "lowest plausible share, %",
    maximumPercent: "highest plausible share, %",
  },
  loads: ["full", "set-current", "rate"],
  assess: (test, limit) => {
    const { stop, riseS } = test.run;
    const share = figureValue(test, "capacity-share");
    if (share === null || stop.cutoffS === null || riseS === null) return null;
    return within(
      100 * share,
      { minimum: limit("minimumPercent"), maximum: limit("maximumPercent") },
      readingSpan(test),
    );
  },
  seen: (observed) => `The pack delivered ${observed} of its rated capacity`,
  missing: ({ run }) =>
    `${run.riseS === null ? "The log begins under load" : "The run did not reach the cutoff"}, so its capacity is only a lower bound.`,
  advice: "Check the rated capacity of the pack, the unit of the current, and the current sensor.",
};
