import { pulseLevel } from "../observe/pulses.js";
import type { Rule } from "../rule.js";

export const SECOND_PULSE_LEVEL: Rule = {
  id: "second-pulse-level",
  observes:
    "The difference between the current of the second pulse and the current that the protocol sets, in % of the latter.",
  why: "The resistance of a cell depends a little on the current.",
  unit: "%",
  limits: { maximumPercent: "largest difference allowed, %" },
  loads: ["two-pulse"],
  assess: (test, limit) => pulseLevel(test, "second", limit("maximumPercent")),
  seen: (observed) => `The current of the second pulse differs from the protocol's by ${observed}`,
  missing: "The log has no second pulse, or the pulse is too short.",
  advice: "Set the currents that the protocol asks for. 1 It is the rated capacity in Ah taken as a current in A.",
};
