import { ruleCases } from "../../../../test/support/rule-cases.js";

ruleCases("recovery-logged", {
  passing: { "a log that goes on for 10 s": { run: { recoveryS: 10 } } },
  failing: { "one that ends with the load": { run: { recoveryS: 0 } } },
  boundary: { "6 s": [{ run: { recoveryS: 6 } }, { run: { recoveryS: 5.99 } }] },
  notAssessable: "never",
});
