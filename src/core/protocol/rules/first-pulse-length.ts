import { pulseLength } from "../observe/pulses.js";
import type { Rule } from "../rule.js";

export const FIRST_PULSE_LENGTH: Rule = {
  id: "first-pulse-length",
  observes:
    "The time for which the first current was held before the second pulse began. Half a sampling interval is allowed for.",
  why: "The voltage keeps falling while a current flows, so only pulses of equal length can be compared.",
  unit: "s",
  limits: { minimum: "shortest pulse allowed, s", maximum: "longest pulse allowed, s" },
  loads: ["two-pulse"],
  assess: (test, limit) => pulseLength(test, "first", { minimum: limit("minimum"), maximum: limit("maximum") }),
  seen: (observed) => `The first pulse lasted ${observed}`,
  missing: "The log does not show two pulses: the current does not step from a first level to a second one.",
  advice:
    "Hold the first current for the time that the protocol sets. Then step to the second current at once, and hold it a little longer than the protocol sets.",
};
