import { ruleCases } from "../../../../test/support/rule-cases.js";

ruleCases("current-offset", {
  passing: { "an offset of 0.1 A under 100 A": { run: { zero: { offsetA: 0.1, samples: 20, subtracted: true } } } },
  failing: { "one of 1.5 A": { run: { zero: { offsetA: 1.5, samples: 20, subtracted: true } } } },
  boundary: {
    "0.5 %": [
      { run: { zero: { offsetA: 0.5, samples: 20, subtracted: true } } },
      { run: { zero: { offsetA: 0.51, samples: 20, subtracted: true } } },
    ],
    "-0.5 %": [
      { run: { zero: { offsetA: -0.5, samples: 20, subtracted: true } } },
      { run: { zero: { offsetA: -0.51, samples: 20, subtracted: true } } },
    ],
  },
  notAssessable: {
    "a zero that is not known": { run: { zero: null } },
    "an offset that was not subtracted": { run: { zero: { offsetA: 5, samples: 20, subtracted: false } } },
  },
});
