import { highestTemperature, noHighestTemperature } from "../observe/highest-temperature.js";
import type { Rule } from "../rule.js";

export const TEMPERATURE_LIMIT: Rule = {
  id: "temperature-limit",
  observes:
    "The highest temperature under load, as a mean over 1 s, compared with the highest temperature that a test may reach.",
  why: "A hotter pack ages fast and may vent or burn.",
  unit: "degC",
  limits: { maximum: "highest temperature allowed, degC" },
  assess: (test, limit) => highestTemperature(test, limit("maximum")),
  seen: (observed) => `The pack reached ${observed} under load`,
  missing: noHighestTemperature,
  advice:
    "Stop at once at this temperature. Let the pack cool where it can do no harm. Do not test it at this load again.",
};
