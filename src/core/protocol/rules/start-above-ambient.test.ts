import { ruleCases } from "../../../../test/support/rule-cases.js";

const at = (startTemperatureC: number | null, ambientC: number | null) => ({
  run: { startTemperatureC },
  conditions: { ambientC },
});

ruleCases("start-above-ambient", {
  passing: { "a pack as warm as the room": at(21, 21), "a pack from a colder place": at(15, 21) },
  failing: { "a preheated pack": at(34, 18) },
  boundary: { "8 K": [at(29, 21), at(29.1, 21)] },
  notAssessable: { "a log without a temperature": at(null, 21), "undeclared surroundings": at(25, null) },
});
