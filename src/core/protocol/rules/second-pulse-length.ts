import { pulseLength } from "../observe/pulses.js";
import type { Rule } from "../rule.js";

export const SECOND_PULSE_LENGTH: Rule = {
  id: "second-pulse-length",
  observes: "How long the second current was held.",
  why: "The voltage goes on falling while a current flows; only pulses of equal length compare.",
  unit: "s",
  limits: { minimum: "shortest that is allowed, s", maximum: "longest that is allowed, s" },
  loads: ["two-pulse"],
  assess: (test, limit) => pulseLength(test, "second", { minimum: limit("minimum"), maximum: limit("maximum") }),
  seen: (observed) => `The second pulse lasts ${observed}`,
  missing: "The current does not go from a first level to a second one: there are no two pulses.",
  advice:
    "Hold the first current for as long as the protocol says, go to the second one at once, and hold that a little longer than it says.",
};
