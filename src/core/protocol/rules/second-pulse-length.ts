import { pulseLength } from "../observe/pulses.js";
import type { Rule } from "../rule.js";

export const SECOND_PULSE_LENGTH: Rule = {
  id: "second-pulse-length",
  observes: "The time for which the second current was held. Half a sampling interval is allowed for.",
  why: "The voltage keeps falling while a current flows, so only pulses of equal length can be compared.",
  unit: "s",
  limits: { minimum: "shortest pulse allowed, s", maximum: "longest pulse allowed, s" },
  loads: ["two-pulse"],
  assess: (test, limit) => pulseLength(test, "second", { minimum: limit("minimum"), maximum: limit("maximum") }),
  seen: (observed) => `The second pulse lasted ${observed}`,
  missing: "The log does not show two pulses: the current does not step from a first level to a second one.",
  advice:
    "Hold the first current for the time that the protocol sets. Then step to the second current at once, and hold it a little longer than the protocol sets.",
};
