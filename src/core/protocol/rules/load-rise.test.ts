import { ruleCases } from "../../../../test/support/rule-cases.js";

ruleCases("load-rise", {
  passing: { "0.2 s": { run: { riseS: 0.2 } } },
  failing: { "a minute": { run: { riseS: 60 } } },
  boundary: { "1 s": [{ run: { riseS: 1 } }, { run: { riseS: 1.001 } }] },
  notAssessable: { "a log that begins under load": { run: { riseS: null } } },
});
