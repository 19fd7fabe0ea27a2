import { type Rule, within } from "../rule.js";

export const AMBIENT_TEMPERATURE: Rule = {
  id: "ambient-temperature",
  observes: "Declared temperature of the surroundings.",
  why: "A pack in the cold has more resistance and one in the heat less, and the surroundings decide how it cools.",
  unit: "degC",
  limits: { minimum: "lowest that is allowed, degC", maximum: "highest that is allowed, degC" },
  assess: ({ conditions }, limit) =>
    conditions.ambientC === null
      ? null
      : within(conditions.ambientC, { minimum: limit("minimum"), maximum: limit("maximum") }),
  seen: (observed) => `The surroundings are at ${observed}`,
  missing: "The temperature of the surroundings was not declared (ambientC).",
  advice: "Test where it is neither cold nor hot, and declare the temperature.",
};
