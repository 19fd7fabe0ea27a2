import { ruleCases } from "../../../../test/support/rule-cases.js";

ruleCases("second-pulse-level", {
  passing: { "5 A of a pack of 5 Ah": { reads: { "second-pulse-current": 5 } } },
  failing: { "2 A": { reads: { "second-pulse-current": 2 } } },
  boundary: {
    "5 % more": [{ reads: { "second-pulse-current": 5.25 } }, { reads: { "second-pulse-current": 5.26 } }],
    "5 % less": [{ reads: { "second-pulse-current": 4.75 } }, { reads: { "second-pulse-current": 4.74 } }],
  },
  notAssessable: { "a log without pulses, or with too short ones": {} },
});
