import { ruleCases } from "../../../../test/support/rule-cases.js";

ruleCases("current-zero", {
  passing: { "a sensor at 0.1 A at rest": { run: { zero: { offsetA: 0.1, samples: 20, subtracted: true } } } },
  failing: { "one at 10 A": { run: { zero: { offsetA: 10, samples: 20, subtracted: false } } } },
  boundary: {
    "2 % of the load current as logged": [
      { run: { loadCurrentA: 98, zero: { offsetA: 2, samples: 20, subtracted: true } } },
      { run: { loadCurrentA: 100, zero: { offsetA: 2.01, samples: 20, subtracted: false } } },
    ],
    "-2 %": [
      { run: { loadCurrentA: 102, zero: { offsetA: -2, samples: 20, subtracted: true } } },
      { run: { loadCurrentA: 100, zero: { offsetA: -2.01, samples: 20, subtracted: false } } },
    ],
  },
  notAssessable: { "too short a rest": { run: { zero: null } } },
});
