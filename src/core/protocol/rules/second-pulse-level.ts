import { pulseLevel } from "../observe/pulses.js";
import type { Rule } from "../rule.js";

export const SECOND_PULSE_LEVEL: Rule = {
  id: "second-pulse-level",
  observes: "Difference of the second pulse's current from the protocol's, in % of it.",
  why: "The resistance of a cell is a little different at other currents.",
  unit: "%",
  limits: { maximumPercent: "largest difference, %" },
  loads: ["two-pulse"],
  assess: (test, limit) => pulseLevel(test, "second", limit("maximumPercent")),
  seen: (observed) => `The current of the second pulse differs from the protocol's by ${observed}`,
  missing: "The log has no second pulse, or too short a one.",
  advice: "Draw the currents that the protocol asks for; 1 It is the rated capacity in Ah taken as a current in A.",
};
