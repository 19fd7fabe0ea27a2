import { type Rule, within } from "../rule.js";

export const REST_AT_MOST: Rule = {
  id: "rest-at-most",
  observes: "The declared rest between the end of charging and the load, compared with the longest rest allowed.",
  why: "A pack self-discharges in storage.",
  unit: "min",
  limits: { maximum: "longest rest allowed, min" },
  assess: ({ conditions }, limit) =>
    conditions.restMinutes === null ? null : within(conditions.restMinutes, { maximum: limit("maximum") }),
  seen: (observed) => `The pack rested for ${observed} after charging`,
  missing: "The rest after charging was not declared (restMinutes).",
  advice: "Start the test sooner after charging, and declare how long the pack rested.",
};
