import { ruleCases } from "../../../../test/support/rule-cases.js";

ruleCases("cutoff-depth", {
  passing: { "a load that ends at the cutoff": { run: { clippedS: 0 } } },
  failing: { "a load that stays for a minute": { run: { clippedS: 60 } } },
  boundary: { "3 s": [{ run: { clippedS: 3 } }, { run: { clippedS: 3.1 } }] },
  notAssessable: { "a run that did not reach the cutoff": { stop: { cutoffS: null } } },
});
