import { ruleCases } from "../../../../test/support/rule-cases.js";

ruleCases("duplicate-rows", {
  passing: { "no row twice": { samples: { duplicates: { count: 0, first: { line: 7 } } } } },
  failing: { "many rows twice": { samples: { duplicates: { count: 50, first: { line: 7 } } } } },
  boundary: {
    "one row": [
      { samples: { duplicates: { count: 0, first: { line: 7 } } } },
      { samples: { duplicates: { count: 1, first: { line: 7 } } } },
    ],
  },
  notAssessable: "never",
});
