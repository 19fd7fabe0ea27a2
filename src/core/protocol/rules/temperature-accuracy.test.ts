import { ruleCases } from "../../../../test/support/rule-cases.js";

ruleCases("temperature-accuracy", {
  passing: { "a probe within 1 K": { bench: { temperature: { offset: 1 } } } },
  failing: {
    "a probe within 5 K": { bench: { temperature: { offset: 5 } } },
    "a probe without error": { bench: { temperature: { offset: 0 } } },
  },
  boundary: {
    "2 K": [{ bench: { temperature: { offset: 2 } } }, { bench: { temperature: { offset: 2.01 } } }],
    "0.05 K": [{ bench: { temperature: { offset: 0.05 } } }, { bench: { temperature: { offset: 0.049 } } }],
  },
  notAssessable: { "a bench without a probe": { bench: { temperature: null } } },
});
