import { type Rule, within } from "../rule.js";

/** Declared rest between the end of charge and the load. */
export const REST_TIME: Rule = {
  id: "rest-time",
  assess: ({ conditions }, limit) =>
    conditions.restMinutes === null ? null : within(conditions.restMinutes, { minimum: limit("minimum") }),
  seen: (observed) => `The pack rested ${observed} after its charge`,
  missing: "The rest after the charge was not declared (restMinutes).",
  advice: "Let the pack rest longer after charging, and declare how long.",
};

/** The same against a longest rest: a pack that stands for long loses charge. */
export const REST_AT_MOST: Rule = {
  id: "rest-at-most",
  assess: ({ conditions }, limit) =>
    conditions.restMinutes === null ? null : within(conditions.restMinutes, { maximum: limit("maximum") }),
  seen: (observed) => `The pack rested ${observed} after its charge`,
  missing: "The rest after the charge was not declared (restMinutes).",
  advice: "Begin the test sooner after charging, and declare how long the pack rested.",
};
