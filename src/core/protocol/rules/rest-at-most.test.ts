import { ruleCases } from "../../../../test/support/rule-cases.js";

ruleCases("rest-at-most", {
  passing: { "90 min": { conditions: { restMinutes: 90 } } },
  failing: { "a day": { conditions: { restMinutes: 1440 } } },
  boundary: { "4 h": [{ conditions: { restMinutes: 240 } }, { conditions: { restMinutes: 240.1 } }] },
  notAssessable: { "an undeclared rest": { conditions: { restMinutes: null } } },
});
