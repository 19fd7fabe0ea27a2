import { ruleCases } from "../../../../test/support/rule-cases.js";

ruleCases("start-temperature", {
  passing: { "25 degC": { run: { startTemperatureC: 25 } } },
  failing: { "a cold pack": { run: { startTemperatureC: 5 } }, "a preheated pack": { run: { startTemperatureC: 45 } } },
  boundary: {
    "15 degC": [{ run: { startTemperatureC: 15 } }, { run: { startTemperatureC: 14.9 } }],
    "35 degC": [{ run: { startTemperatureC: 35 } }, { run: { startTemperatureC: 35.1 } }],
  },
  notAssessable: { "a log without a temperature": { run: { startTemperatureC: null } } },
});
