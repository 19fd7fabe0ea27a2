import { ruleCases } from "../../../../test/support/rule-cases.js";

ruleCases("spikes", {
  passing: { "no spikes": {} },
  failing: { "many spikes": { run: { spikes: { repaired: [], left: { count: 40, first: { line: 7 } } } } } },
  boundary: {
    "one sample": [
      { run: { spikes: { repaired: [], left: { count: 0, first: null } } } },
      { run: { spikes: { repaired: [], left: { count: 1, first: { line: 7 } } } } },
    ],
  },
  notAssessable: "never",
});
