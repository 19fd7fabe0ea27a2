import { ruleCases } from "../../../../test/support/rule-cases.js";

ruleCases("time-rises", {
  passing: { "a clock that rises": { samples: { unordered: { count: 0, first: { line: 7 } } } } },
  failing: { "a clock that was set": { samples: { unordered: { count: 50, first: { line: 7 } } } } },
  boundary: {
    "one row": [
      { samples: { unordered: { count: 0, first: { line: 7 } } } },
      { samples: { unordered: { count: 1, first: { line: 7 } } } },
    ],
  },
  notAssessable: "never",
});
