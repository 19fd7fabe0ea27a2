import { ruleCases } from "../../../../test/support/rule-cases.js";

ruleCases("step-ended", {
  passing: { "a step to the cutoff": {} },
  failing: { "a step that the operator ended at 45 degC": { stop: { reason: "operator", cutoffS: null } } },
  boundary: {
    "60 degC": [
      { stop: { reason: "temperature-limit", cutoffS: null }, highestTemperatureC: 60 },
      { stop: { reason: "operator", cutoffS: null }, highestTemperatureC: 59.9 },
    ],
  },
  notAssessable: { "a log without a temperature": { highestTemperatureC: null } },
});
