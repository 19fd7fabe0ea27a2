import { ruleCases } from "../../../../test/support/rule-cases.js";

ruleCases("standard-load", {
  passing: { "a load near a standard load": { nearestRatio: 1 } },
  failing: { "half of the smallest": { nearestRatio: 2 }, "twice the largest": { nearestRatio: 0.5 } },
  boundary: {
    "0.7": [{ nearestRatio: 0.7 }, { nearestRatio: 0.69 }],
    "1.4": [{ nearestRatio: 1.4 }, { nearestRatio: 1.41 }],
  },
  notAssessable: { "a run that cannot be translated": { nearestRatio: null } },
});
