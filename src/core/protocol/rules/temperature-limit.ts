import { highestTemperature, noHighestTemperature } from "../observe/highest-temperature.js";
import type { Rule } from "../rule.js";

export const TEMPERATURE_LIMIT: Rule = {
  id: "temperature-limit",
  observes: "Highest temperature under load, a mean over 1 s, against the one that no test may pass.",
  why: "Beyond it a pack ages fast and may vent or burn.",
  unit: "degC",
  limits: { maximum: "highest that is allowed, degC" },
  assess: (test, limit) => highestTemperature(test, limit("maximum")),
  seen: (observed) => `Under load the pack reaches ${observed}`,
  missing: noHighestTemperature,
  advice:
    "Stop at once at this temperature, let the pack cool where it can do no harm, and do not test it at this load again.",
};
