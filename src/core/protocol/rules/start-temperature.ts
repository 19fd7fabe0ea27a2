import { type Rule, within } from "../rule.js";

/** The pack's temperature at onset. */
export const START_TEMPERATURE: Rule = {
  id: "start-temperature",
  assess: ({ run }, limit) =>
    run.startTemperatureC === null
      ? null
      : within(run.startTemperatureC, { minimum: limit("minimum"), maximum: limit("maximum") }, { fromS: -1, toS: 0 }),
  seen: (observed) => `At onset the pack is at ${observed}`,
  missing: "The log has no temperature.",
  advice: "Bring the pack to room temperature before the test; warming a pack for a test is not allowed here.",
};
