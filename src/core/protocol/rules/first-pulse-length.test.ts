import { ruleCases } from "../../../../test/support/rule-cases.js";

ruleCases("first-pulse-length", {
  passing: { "10 s": { reads: { "first-pulse-length": 10 } } },
  failing: { "5 s": { reads: { "first-pulse-length": 5 } }, "a minute": { reads: { "first-pulse-length": 60 } } },
  boundary: {
    "9.5 s less half of a sample at 10 Hz": [
      { reads: { "first-pulse-length": 9.45 } },
      { reads: { "first-pulse-length": 9.44 } },
    ],
    "12 s and half of a sample": [
      { reads: { "first-pulse-length": 12.05 } },
      { reads: { "first-pulse-length": 12.06 } },
    ],
  },
  notAssessable: { "a log of one current": {} },
});
