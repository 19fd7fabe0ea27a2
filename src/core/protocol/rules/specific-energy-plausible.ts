import { figureValue, type Rule, readingSpan, within } from "../rule.js";

export const SPECIFIC_ENERGY_PLAUSIBLE: Rule = {
  id: "specific-energy-plausible",
  observes: "Energy delivered per mass, against the most that packs of the chemistry hold.",
  why: "More than that means a wrong mass, a wrong unit or another pack.",
  unit: "Wh/kg",
  limits: {
    lipo: "most of a LiPo pack, Wh/kg",
    lihv: "most of a high-voltage LiPo pack, Wh/kg",
    liion: "most of a Li-ion pack, Wh/kg",
    lifepo4: "most of a LiFePO4 pack, Wh/kg",
  },
  assess: (test, limit) => {
    const observed = figureValue(test, "specific-energy");
    return observed === null ? null : within(observed, { maximum: limit(test.pack.chemistry) }, readingSpan(test));
  },
  seen: (observed) => `The pack delivered ${observed}`,
  missing: "The pack's mass is not known.",
  advice: "Check the pack's mass, with leads and connector, and the units of voltage and current.",
};
