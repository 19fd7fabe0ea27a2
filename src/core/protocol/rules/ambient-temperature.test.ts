import { ruleCases } from "../../../../test/support/rule-cases.js";

ruleCases("ambient-temperature", {
  passing: { "surroundings at 21 degC": { conditions: { ambientC: 21 } } },
  failing: { frost: { conditions: { ambientC: -5 } }, "a hot room": { conditions: { ambientC: 40 } } },
  boundary: {
    "15 degC": [{ conditions: { ambientC: 15 } }, { conditions: { ambientC: 14.9 } }],
    "35 degC": [{ conditions: { ambientC: 35 } }, { conditions: { ambientC: 35.1 } }],
  },
  notAssessable: { "undeclared surroundings": { conditions: { ambientC: null } } },
});
