import { type Rule, within } from "../rule.js";

export const REST_AT_MOST: Rule = {
  id: "rest-at-most",
  observes: "Declared rest between the end of the charge and the load, against a longest one.",
  why: "A pack that stands for long loses charge.",
  unit: "min",
  limits: { maximum: "longest rest, min" },
  assess: ({ conditions }, limit) =>
    conditions.restMinutes === null ? null : within(conditions.restMinutes, { maximum: limit("maximum") }),
  seen: (observed) => `The pack rested ${observed} after its charge`,
  missing: "The rest after the charge was not declared (restMinutes).",
  advice: "Begin the test sooner after charging, and declare how long the pack rested.",
};
