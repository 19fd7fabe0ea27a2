import { pulseLevel } from "../observe/pulses.js";
import type { Rule } from "../rule.js";

export const FIRST_PULSE_LEVEL: Rule = {
  id: "first-pulse-level",
  observes:
    "The difference between the current of the first pulse and the current that the protocol sets, in % of the latter.",
  why: "The resistance of a cell depends a little on the current.",
  unit: "%",
  limits: { maximumPercent: "largest difference allowed, %" },
  loads: ["two-pulse"],
  assess: (test, limit) => pulseLevel(test, "first", limit("maximumPercent")),
  seen: (observed) => `The current of the first pulse differs from the protocol's by ${observed}`,
  missing: "The log has no first pulse, or the pulse is too short.",
  advice: "Set the currents that the protocol asks for. 1 It is the rated capacity in Ah taken as a current in A.",
};
