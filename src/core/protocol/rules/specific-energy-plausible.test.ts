import { ruleCases } from "../../../../test/support/rule-cases.js";

ruleCases("specific-energy-plausible", {
  passing: { "150 Wh/kg of a LiPo pack": { figures: { "specific-energy": 150 } } },
  failing: { "500 Wh/kg": { figures: { "specific-energy": 500 } } },
  boundary: {
    "230 Wh/kg of LiPo": [
      { pack: { chemistry: "lipo" }, figures: { "specific-energy": 230 } },
      { pack: { chemistry: "lipo" }, figures: { "specific-energy": 231 } },
    ],
    "240 Wh/kg of high-voltage LiPo": [
      { pack: { chemistry: "lihv" }, figures: { "specific-energy": 240 } },
      { pack: { chemistry: "lihv" }, figures: { "specific-energy": 241 } },
    ],
    "280 Wh/kg of Li-ion": [
      { pack: { chemistry: "liion" }, figures: { "specific-energy": 280 } },
      { pack: { chemistry: "liion" }, figures: { "specific-energy": 281 } },
    ],
    "170 Wh/kg of LiFePO4": [
      { pack: { chemistry: "lifepo4" }, figures: { "specific-energy": 170 } },
      { pack: { chemistry: "lifepo4" }, figures: { "specific-energy": 171 } },
    ],
  },
  notAssessable: { "a pack of unknown mass": { figures: { "specific-energy": null } } },
});
