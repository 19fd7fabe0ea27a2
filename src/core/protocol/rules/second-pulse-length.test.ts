import { ruleCases } from "../../../../test/support/rule-cases.js";

ruleCases("second-pulse-length", {
  passing: { "1.2 s": { reads: { "second-pulse-length": 1.2 } } },
  failing: { "0.5 s": { reads: { "second-pulse-length": 0.5 } }, "a minute": { reads: { "second-pulse-length": 60 } } },
  boundary: {
    "0.98 s less half of a sample at 10 Hz": [
      { reads: { "second-pulse-length": 0.93 } },
      { reads: { "second-pulse-length": 0.929 } },
    ],
    "3 s and half of a sample": [
      { reads: { "second-pulse-length": 3.05 } },
      { reads: { "second-pulse-length": 3.06 } },
    ],
  },
  notAssessable: { "a log of one current": {} },
});
