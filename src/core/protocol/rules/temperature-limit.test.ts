import { ruleCases } from "../../../../test/support/rule-cases.js";
import { BARE_RUN } from "../../../../test/support/run-under-test.js";

ruleCases("temperature-limit", {
  passing: { "45 degC": { highestTemperatureC: 45 } },
  failing: { "90 degC": { highestTemperatureC: 90 } },
  boundary: { "70 degC": [{ highestTemperatureC: 70 }, { highestTemperatureC: 70.1 }] },
  notAssessable: {
    "a log without a temperature": BARE_RUN,
    "a run too short to judge it": { highestTemperatureC: null },
  },
});
