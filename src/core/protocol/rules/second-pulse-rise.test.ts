import { ruleCases } from "../../../../test/support/rule-cases.js";

ruleCases("second-pulse-rise", {
  passing: { "0.02 s": { reads: { "second-pulse-rise": 0.02 } } },
  failing: { "a second": { reads: { "second-pulse-rise": 1 } } },
  boundary: { "0.2 s": [{ reads: { "second-pulse-rise": 0.2 } }, { reads: { "second-pulse-rise": 0.201 } }] },
  notAssessable: { "a log of one current": {} },
});
