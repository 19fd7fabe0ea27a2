import { type Rule, readingSpan } from "../rule.js";

export const STEP_ENDED: Rule = {
  id: "step-ended",
  observes:
    "Highest temperature of a step that ended before the cutoff: it says something only when the temperature limit was what ended it.",
  why: "A step that was ended for another reason shows neither that the pack sustains its current nor that it does not.",
  unit: "degC",
  limits: { minimum: "temperature that ends a step, degC" },
  loads: ["set-current"],
  assess: (test, limit) => {
    const observed = test.reads.own.get("highest-temperature")?.value;
    if (observed === undefined) return null;
    const { stop } = test.run;
    const passes = stop.cutoffS !== null || stop.reason === "temperature-limit";
    return { observed, passes, limit: `the cutoff reached, or >= ${limit("minimum")}`, span: readingSpan(test) };
  },
  seen: (observed) => `At the end of the step the pack had reached ${observed}`,
  missing: "The log has no temperature.",
  advice: "Go on to the voltage cutoff, or to the temperature limit when that comes first, within the maker's limits.",
};
