import { ruleCases } from "../../../../test/support/rule-cases.js";

ruleCases("first-pulse-length", {
  passing: { "10 s": { reads: { "first-pulse-length": 10 } } },
  failing: { "5 s": { reads: { "first-pulse-length": 5 } }, "a minute": { reads: { "first-pulse-length": 60 } } },
  boundary: {
    "9.5 s": [{ reads: { "first-pulse-length": 9.5 } }, { reads: { "first-pulse-length": 9.49 } }],
    "12 s": [{ reads: { "first-pulse-length": 12 } }, { reads: { "first-pulse-length": 12.01 } }],
  },
  notAssessable: { "a log of one current": {} },
});
