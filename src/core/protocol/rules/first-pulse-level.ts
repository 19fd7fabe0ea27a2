import { pulseLevel } from "../observe/pulses.js";
import type { Rule } from "../rule.js";

export const FIRST_PULSE_LEVEL: Rule = {
  id: "first-pulse-level",
  observes: "Difference of the first pulse's current from the protocol's, in % of it.",
  why: "The resistance of a cell is a little different at other currents.",
  unit: "%",
  limits: { maximumPercent: "largest difference, %" },
  loads: ["two-pulse"],
  assess: (test, limit) => pulseLevel(test, "first", limit("maximumPercent")),
  seen: (observed) => `The current of the first pulse differs from the protocol's by ${observed}`,
  missing: "The log has no first pulse, or too short a one.",
  advice: "Draw the currents that the protocol asks for; 1 It is the rated capacity in Ah taken as a current in A.",
};
