import { highestTemperature, noHighestTemperature } from "../observe/highest-temperature.js";
import type { Rule } from "../rule.js";

export const TEMPERATURE_WARNING: Rule = {
  id: "temperature-warning",
  observes: "Highest temperature under load, a mean over 1 s, against the level to be wary of.",
  why: "Beyond it a pack ages faster, and little is left to the limit.",
  unit: "degC",
  limits: { maximum: "highest without a remark, degC" },
  assess: (test, limit) => highestTemperature(test, limit("maximum")),
  seen: (observed) => `Under load the pack reaches ${observed}`,
  missing: noHighestTemperature,
  advice: "The pack is at its limit at this load: plan for less current, or stop earlier.",
};
