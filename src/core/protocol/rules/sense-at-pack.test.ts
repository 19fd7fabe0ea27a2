import { ruleCases } from "../../../../test/support/rule-cases.js";

ruleCases("sense-at-pack", {
  passing: { "a voltage sensed at the pack": { run: { senseOhm: 0 } } },
  failing: { "one sensed past 2 mohm": { run: { senseOhm: 0.002 } } },
  boundary: { nothing: [{ run: { senseOhm: 0 } }, { run: { senseOhm: 1e-5 } }] },
  notAssessable: { "leads of which nothing is known": { run: { senseOhm: null } } },
});
