import { ruleCases } from "../../../../test/support/rule-cases.js";

ruleCases("spikes", {
  passing: { "no spikes": {} },
  failing: { "many spikes": { run: { spikes: { mended: [], left: { count: 40, first: { line: 7 } } } } } },
  boundary: {
    "one sample": [
      { run: { spikes: { mended: [], left: { count: 0, first: null } } } },
      { run: { spikes: { mended: [], left: { count: 1, first: { line: 7 } } } } },
    ],
  },
  notAssessable: "never",
});
