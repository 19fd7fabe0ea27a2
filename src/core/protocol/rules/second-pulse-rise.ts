import { type Rule, within } from "../rule.js";

export const SECOND_PULSE_RISE: Rule = {
  id: "second-pulse-rise",
  observes:
    "Time in which the current rises from the first pulse's level to the second one's, from 10 % to 90 % of the step.",
  why: "While the current still rises, the time that the second pulse has lasted is not known.",
  unit: "s",
  limits: { maximum: "longest rise that is allowed, s" },
  loads: ["two-pulse"],
  assess: ({ reads }, limit) => {
    const seconds = reads.own.get("second-pulse-rise")?.value;
    return seconds === undefined ? null : within(seconds, { maximum: limit("maximum") });
  },
  seen: (observed) => `The second current is reached in ${observed}`,
  missing: "The current does not go from a first level to a second one: there are no two pulses.",
  advice: "Use a load that goes from one current to the next at once.",
};
