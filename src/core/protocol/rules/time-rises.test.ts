import { ruleCases } from "../../../../test/support/rule-cases.js";

ruleCases("time-rises", {
  passing: { "a clock that rises": { part: { unordered: { count: 0, first: { line: 7 } } } } },
  failing: { "a clock that was set": { part: { unordered: { count: 50, first: { line: 7 } } } } },
  boundary: {
    "one row": [
      { part: { unordered: { count: 0, first: { line: 7 } } } },
      { part: { unordered: { count: 1, first: { line: 7 } } } },
    ],
  },
  notAssessable: "never",
});
