import { type Rule, readingSpan } from "../rule.js";

/** The highest temperature of a step that ended before the cutoff: it says something only when the limit was what ended it. */
export const STEP_ENDED: Rule = {
  id: "step-ended",
  assess: (test, limit) => {
    const observed = test.reads.own.get("highest-temperature")?.value;
    if (observed === undefined) return null;
    const { stop } = test.run;
    const passes = stop.cutoffS !== null || stop.reason === "temperature-limit";
    return { observed, passes, limit: `>= ${limit("minimum")}, or the cutoff reached`, span: readingSpan(test) };
  },
  seen: (observed) => `At the end of the step the pack had reached ${observed}`,
  missing: "The log has no temperature.",
  advice: "Go on to the voltage cutoff, or to the temperature limit when that comes first, within the maker's limits.",
};
