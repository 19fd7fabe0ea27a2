import { ruleCases } from "../../../../test/support/rule-cases.js";

ruleCases("second-pulse-length", {
  passing: { "1.2 s": { reads: { "second-pulse-length": 1.2 } } },
  failing: { "0.5 s": { reads: { "second-pulse-length": 0.5 } }, "a minute": { reads: { "second-pulse-length": 60 } } },
  boundary: {
    "0.98 s": [{ reads: { "second-pulse-length": 0.98 } }, { reads: { "second-pulse-length": 0.979 } }],
    "3 s": [{ reads: { "second-pulse-length": 3 } }, { reads: { "second-pulse-length": 3.01 } }],
  },
  notAssessable: { "a log of one current": {} },
});
