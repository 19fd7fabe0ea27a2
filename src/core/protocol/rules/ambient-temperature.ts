import { type Rule, within } from "../rule.js";

/** Declared temperature of the surroundings. */
export const AMBIENT_TEMPERATURE: Rule = {
  id: "ambient-temperature",
  assess: ({ conditions }, limit) =>
    conditions.ambientC === null
      ? null
      : within(conditions.ambientC, { minimum: limit("minimum"), maximum: limit("maximum") }),
  seen: (observed) => `The surroundings are at ${observed}`,
  missing: "The temperature of the surroundings was not declared (ambientC).",
  advice: "Test where it is neither cold nor hot, and declare the temperature.",
};
