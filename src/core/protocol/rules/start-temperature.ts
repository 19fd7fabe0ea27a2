import { type Rule, within } from "../rule.js";

export const START_TEMPERATURE: Rule = {
  id: "start-temperature",
  observes: "The temperature of the pack at onset.",
  why: "A warm pack has less resistance, so preheating would give an unfair advantage.",
  unit: "degC",
  limits: { minimum: "lowest temperature allowed, degC", maximum: "highest temperature allowed, degC" },
  assess: ({ run }, limit) =>
    run.startTemperatureC === null
      ? null
      : within(run.startTemperatureC, { minimum: limit("minimum"), maximum: limit("maximum") }, { fromS: -1, toS: 0 }),
  seen: (observed) => `The pack is at ${observed} at onset`,
  missing: "The log has no temperature.",
  advice: "Bring the pack to room temperature before the test. Do not preheat a pack for a test.",
};
