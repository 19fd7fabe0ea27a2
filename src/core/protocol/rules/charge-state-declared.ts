import { type Rule, within } from "../rule.js";

export const CHARGE_STATE_DECLARED: Rule = {
  id: "charge-state-declared",
  observes: "The declared state of charge at the start.",
  why: "The resistance of a cell depends on its state of charge. Runs at an unknown state of charge cannot be compared.",
  unit: "%",
  limits: { minimum: "lowest state of charge allowed, %", maximum: "highest state of charge allowed, %" },
  assess: ({ conditions }, limit) =>
    conditions.stateOfChargePercent == null
      ? null
      : within(conditions.stateOfChargePercent, { minimum: limit("minimum"), maximum: limit("maximum") }),
  seen: (observed) => `The run started at a state of charge of ${observed}`,
  missing: "The state of charge was not declared (stateOfChargePercent).",
  advice:
    "Charge the pack fully, discharge a known share of its capacity if you need to, and declare the state of charge.",
};
