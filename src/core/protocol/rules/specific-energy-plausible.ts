import { figureValue, type Rule, readingSpan, within } from "../rule.js";

/** Energy delivered per mass, against the most that the chemistry gives in packs. */
export const SPECIFIC_ENERGY_PLAUSIBLE: Rule = {
  id: "specific-energy-plausible",
  assess: (test, limit) => {
    const observed = figureValue(test, "specific-energy");
    return observed === null ? null : within(observed, { maximum: limit(test.pack.chemistry) }, readingSpan(test));
  },
  seen: (observed) => `The pack delivered ${observed}`,
  missing: "The pack's mass is not known.",
  advice: "Check the pack's mass, with leads and connector, and the units of voltage and current.",
};
