import { highestTemperature, noHighestTemperature } from "../observe/highest-temperature.js";
import type { Rule } from "../rule.js";

export const TEMPERATURE_WARNING: Rule = {
  id: "temperature-warning",
  observes: "The highest temperature under load, as a mean over 1 s, compared with the warning level.",
  why: "A hotter pack ages faster and has little margin to the limit.",
  unit: "degC",
  limits: { maximum: "highest temperature without a warning, degC" },
  assess: (test, limit) => highestTemperature(test, limit("maximum")),
  seen: (observed) => `The pack reached ${observed} under load`,
  missing: noHighestTemperature,
  advice: "The pack is at its limit at this load. Use less current, or stop earlier.",
};
