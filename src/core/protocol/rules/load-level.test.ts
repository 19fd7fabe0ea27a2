import { ruleCases } from "../../../../test/support/rule-cases.js";

ruleCases("load-level", {
  passing: { "a load near the reference load": { ratio: 1 } },
  failing: { "half of it": { ratio: 2 }, "twice of it": { ratio: 0.5 } },
  boundary: { "0.7": [{ ratio: 0.7 }, { ratio: 0.69 }], "1.4": [{ ratio: 1.4 }, { ratio: 1.41 }] },
  notAssessable: { "a run that cannot be set against it": { ratio: null } },
});
