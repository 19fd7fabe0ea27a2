import { type Rule, within } from "../rule.js";

export const START_ABOVE_AMBIENT: Rule = {
  id: "start-above-ambient",
  observes: "The temperature of the pack at onset less the declared ambient temperature.",
  why: "A rested pack is as warm as its surroundings. A warmer pack was heated or did not rest.",
  unit: "K",
  limits: { maximum: "largest difference allowed, K" },
  assess: ({ run, conditions }, limit) =>
    run.startTemperatureC === null || conditions.ambientC === null
      ? null
      : within(run.startTemperatureC - conditions.ambientC, { maximum: limit("maximum") }, { fromS: -1, toS: 0 }),
  seen: (observed) => `At onset the pack is ${observed} above the ambient temperature`,
  missing: "The log has no temperature, or the ambient temperature was not declared (ambientC).",
  advice:
    "Let the pack rest until it is as warm as the room, and declare the ambient temperature at the place where it rested.",
};
