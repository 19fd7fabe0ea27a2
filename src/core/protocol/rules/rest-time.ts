import { type Rule, within } from "../rule.js";

export const REST_TIME: Rule = {
  id: "rest-time",
  observes: "Declared rest between the end of the charge and the load, against a shortest one.",
  why: "A pack fresh off the charger shows a voltage that it does not keep.",
  unit: "min",
  limits: { minimum: "shortest rest, min" },
  assess: ({ conditions }, limit) =>
    conditions.restMinutes === null ? null : within(conditions.restMinutes, { minimum: limit("minimum") }),
  seen: (observed) => `The pack rested ${observed} after its charge`,
  missing: "The rest after the charge was not declared (restMinutes).",
  advice: "Let the pack rest longer after charging, and declare how long.",
};
