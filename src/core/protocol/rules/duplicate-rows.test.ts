import { ruleCases } from "../../../../test/support/rule-cases.js";

ruleCases("duplicate-rows", {
  passing: { "no row twice": { part: { duplicates: { count: 0, first: { line: 7 } } } } },
  failing: { "many rows twice": { part: { duplicates: { count: 50, first: { line: 7 } } } } },
  boundary: {
    "one row": [
      { part: { duplicates: { count: 0, first: { line: 7 } } } },
      { part: { duplicates: { count: 1, first: { line: 7 } } } },
    ],
  },
  notAssessable: "never",
});
