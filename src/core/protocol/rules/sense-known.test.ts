import { ruleCases } from "../../../../test/support/rule-cases.js";

ruleCases("sense-known", {
  passing: { "a voltage sensed at the pack": { run: { senseOhm: 0 } } },
  failing: { "a drop over 20 mohm at 100 A": { run: { senseOhm: 0.02 } } },
  boundary: { "5 % of the nominal 14.8 V at 100 A": [{ run: { senseOhm: 0.0074 } }, { run: { senseOhm: 0.00741 } }] },
  notAssessable: { "leads of which nothing is known": { run: { senseOhm: null } } },
});
