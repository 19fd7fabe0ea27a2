import { ruleCases } from "../../../../test/support/rule-cases.js";

ruleCases("load-steady", {
  passing: { "the declared 100 A": { conditions: { setpointA: 100 } } },
  failing: { "a declared 80 A": { conditions: { setpointA: 80 } } },
  boundary: {
    "2 % more": [{ conditions: { setpointA: 100 / 1.0199 } }, { conditions: { setpointA: 100 / 1.0201 } }],
    "2 % less": [{ conditions: { setpointA: 100 / 0.9801 } }, { conditions: { setpointA: 100 / 0.9799 } }],
  },
  notAssessable: {
    "an undeclared current": { conditions: { setpointA: null } },
    "a run of 2 s": { conditions: { setpointA: 100 }, stop: { endS: 2 } },
  },
});
