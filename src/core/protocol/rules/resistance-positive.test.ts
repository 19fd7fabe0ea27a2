import { ruleCases } from "../../../../test/support/rule-cases.js";

ruleCases("resistance-positive", {
  passing: { "20 mohm": { figures: { "resistance-10s": 20 } } },
  failing: { "-3 mohm": { figures: { "resistance-10s": -3 } } },
  boundary: { nothing: [{ figures: { "resistance-10s": 0.001 } }, { figures: { "resistance-10s": 0 } }] },
  notAssessable: { "a run without a resistance": { figures: { "resistance-10s": null } } },
});
