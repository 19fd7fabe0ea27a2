import { ruleCases } from "../../../../test/support/rule-cases.js";

ruleCases("charge-state-declared", {
  passing: { "60 %": { conditions: { stateOfChargePercent: 60 } } },
  failing: { "an empty pack": { conditions: { stateOfChargePercent: 0 } } },
  boundary: {
    "10 %": [{ conditions: { stateOfChargePercent: 10 } }, { conditions: { stateOfChargePercent: 9.9 } }],
    "100 %": [{ conditions: { stateOfChargePercent: 100 } }, { conditions: { stateOfChargePercent: 100.1 } }],
  },
  notAssessable: { "an undeclared state of charge": { conditions: { stateOfChargePercent: null } } },
});
