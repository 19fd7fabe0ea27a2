import { type Rule, within } from "../rule.js";

export const START_TEMPERATURE: Rule = {
  id: "start-temperature",
  observes: "Temperature of the pack at onset.",
  why: "A warm pack has less resistance: preheating would win places that the pack does not deserve.",
  unit: "degC",
  limits: { minimum: "lowest that is allowed, degC", maximum: "highest that is allowed, degC" },
  assess: ({ run }, limit) =>
    run.startTemperatureC === null
      ? null
      : within(run.startTemperatureC, { minimum: limit("minimum"), maximum: limit("maximum") }, { fromS: -1, toS: 0 }),
  seen: (observed) => `At onset the pack is at ${observed}`,
  missing: "The log has no temperature.",
  advice: "Bring the pack to room temperature before the test; warming a pack for a test is not allowed here.",
};
