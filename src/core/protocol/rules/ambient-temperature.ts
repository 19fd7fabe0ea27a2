import { type Rule, within } from "../rule.js";

export const AMBIENT_TEMPERATURE: Rule = {
  id: "ambient-temperature",
  observes: "The declared ambient temperature.",
  why: "A cold pack has more resistance and a warm one less. The ambient temperature also decides how fast the pack cools.",
  unit: "degC",
  limits: { minimum: "lowest ambient temperature allowed, degC", maximum: "highest ambient temperature allowed, degC" },
  assess: ({ conditions }, limit) =>
    conditions.ambientC === null
      ? null
      : within(conditions.ambientC, { minimum: limit("minimum"), maximum: limit("maximum") }),
  seen: (observed) => `The ambient temperature is ${observed}`,
  missing: "The ambient temperature was not declared (ambientC).",
  advice: "Test in a room that is neither cold nor hot, and declare its temperature.",
};
