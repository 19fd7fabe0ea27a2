import { ruleCases } from "../../../../test/support/rule-cases.js";
import { BARE_RUN } from "../../../../test/support/run-under-test.js";

ruleCases("temperature-warning", {
  passing: { "45 degC": { highestTemperatureC: 45 } },
  failing: { "65 degC": { highestTemperatureC: 65 } },
  boundary: { "60 degC": [{ highestTemperatureC: 60 }, { highestTemperatureC: 60.1 }] },
  notAssessable: {
    "a log without a temperature": BARE_RUN,
    "a run too short to judge it": { highestTemperatureC: null },
  },
});
