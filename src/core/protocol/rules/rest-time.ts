import { type Rule, within } from "../rule.js";

export const REST_TIME: Rule = {
  id: "rest-time",
  observes: "The declared rest between the end of charging and the load, compared with the shortest rest allowed.",
  why: "The voltage of a freshly charged pack has not settled.",
  unit: "min",
  limits: { minimum: "shortest rest allowed, min" },
  assess: ({ conditions }, limit) =>
    conditions.restMinutes === null ? null : within(conditions.restMinutes, { minimum: limit("minimum") }),
  seen: (observed) => `The pack rested for ${observed} after charging`,
  missing: "The rest after charging was not declared (restMinutes).",
  advice: "Let the pack rest longer after charging, and declare how long it rested.",
};
