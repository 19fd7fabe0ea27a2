import { type Rule, within } from "../rule.js";

export const SECOND_PULSE_RISE: Rule = {
  id: "second-pulse-rise",
  observes:
    "The time in which the current rises from the level of the first pulse to that of the second pulse, from 10 % to 90 % of the step.",
  why: "The length of the second pulse is not defined while the current still rises.",
  unit: "s",
  limits: { maximum: "longest rise time allowed, s" },
  loads: ["two-pulse"],
  assess: ({ reads }, limit) => {
    const seconds = reads.own.get("second-pulse-rise")?.value;
    return seconds === undefined ? null : within(seconds, { maximum: limit("maximum") });
  },
  seen: (observed) => `The current rises to the second level in ${observed}`,
  missing: "The log does not show two pulses: the current does not step from a first level to a second one.",
  advice: "Use a load that steps from one current to the next at once.",
};
