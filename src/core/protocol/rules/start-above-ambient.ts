import { type Rule, within } from "../rule.js";

export const START_ABOVE_AMBIENT: Rule = {
  id: "start-above-ambient",
  observes: "Temperature of the pack at onset less that of the surroundings as declared.",
  why: "A rested pack is as warm as its surroundings: a warmer one was heated, or did not rest.",
  unit: "K",
  limits: { maximum: "most above the surroundings, K" },
  assess: ({ run, conditions }, limit) =>
    run.startTemperatureC === null || conditions.ambientC === null
      ? null
      : within(run.startTemperatureC - conditions.ambientC, { maximum: limit("maximum") }, { fromS: -1, toS: 0 }),
  seen: (observed) => `At onset the pack is ${observed} above its surroundings`,
  missing: "The log has no temperature, or that of the surroundings was not declared (ambientC).",
  advice: "Let the pack rest until it is as warm as the room, and declare the temperature where it lay.",
};
