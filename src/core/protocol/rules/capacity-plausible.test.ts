import { ruleCases } from "../../../../test/support/rule-cases.js";

ruleCases("capacity-plausible", {
  passing: { "95 % of the rated capacity": { figures: { "capacity-share": 0.95 } } },
  failing: {
    "a tenth of it": { figures: { "capacity-share": 0.1 } },
    "twice of it": { figures: { "capacity-share": 2 } },
  },
  boundary: {
    "30 %": [{ figures: { "capacity-share": 0.3 } }, { figures: { "capacity-share": 0.299 } }],
    "115 %": [{ figures: { "capacity-share": 1.15 } }, { figures: { "capacity-share": 1.151 } }],
  },
  notAssessable: {
    "a run that ended early, whose capacity is a bound": {
      stop: { cutoffS: null },
      figures: { "capacity-share": 0.1 },
    },
    "a log that begins under load, whose capacity is a bound": {
      run: { riseS: null },
      figures: { "capacity-share": 0.1 },
    },
    "a run without a capacity": { figures: { "capacity-share": null } },
  },
});
