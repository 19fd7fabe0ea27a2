import { type Rule, readingSpan } from "../rule.js";

export const STEP_ENDED: Rule = {
  id: "step-ended",
  observes:
    "The highest temperature of the step. A step that ended before the cutoff counts only if the temperature limit ended it.",
  why: "A step that ended for another reason does not show whether the pack sustains its current.",
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
  seen: (observed) => `The pack reached ${observed} in this step`,
  missing: "The log has no temperature.",
  advice:
    "Continue to the voltage cutoff or to the temperature limit, whichever comes first. Stay within the maker's limits.",
};
