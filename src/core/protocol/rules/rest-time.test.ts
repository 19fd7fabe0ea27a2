import { ruleCases } from "../../../../test/support/rule-cases.js";

ruleCases("rest-time", {
  passing: { "30 min": { conditions: { restMinutes: 30 } } },
  failing: { none: { conditions: { restMinutes: 0 } } },
  boundary: { "10 min": [{ conditions: { restMinutes: 10 } }, { conditions: { restMinutes: 9.9 } }] },
  notAssessable: { "an undeclared rest": { conditions: { restMinutes: null } } },
});
