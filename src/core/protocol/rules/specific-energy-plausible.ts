import { figureValue, type Rule, readingSpan, within } from "../rule.js";

export const SPECIFIC_ENERGY_PLAUSIBLE: Rule = {
  id: "specific-energy-plausible",
  observes: "The energy delivered per mass, compared with the most that packs of the chemistry can hold.",
  why: "A higher value means a wrong mass, a wrong unit or another pack.",
  unit: "Wh/kg",
  limits: {
    lipo: "highest specific energy of a LiPo pack, Wh/kg",
    lihv: "highest specific energy of a high-voltage LiPo pack, Wh/kg",
    liion: "highest specific energy of a Li-ion pack, Wh/kg",
    lifepo4: "highest specific energy of a LiFePO4 pack, Wh/kg",
  },
  assess: (test, limit) => {
    const observed = figureValue(test, "specific-energy");
    return observed === null ? null : within(observed, { maximum: limit(test.pack.chemistry) }, readingSpan(test));
  },
  seen: (observed) => `The pack delivered ${observed}`,
  missing: "The mass of the pack is unknown.",
  advice: "Check the mass of the pack, which includes leads and connector, and the units of voltage and current.",
};
