import { ruleCases } from "../../../../test/support/rule-cases.js";

ruleCases("rows-usable", {
  passing: { "rows with numbers": { part: { unusable: { count: 0, first: { line: 7 } } } } },
  failing: { "half of the rows blank": { part: { unusable: { count: 1021, first: { line: 7 } } } } },
  boundary: {
    "1 % of 1031 rows": [
      { part: { unusable: { count: 10, first: { line: 7 } } } },
      { part: { unusable: { count: 11, first: { line: 7 } } } },
    ],
  },
  notAssessable: "never",
});
