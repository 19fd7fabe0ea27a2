import { type Rule, within } from "../rule.js";

export const CHARGE_STATE_DECLARED: Rule = {
  id: "charge-state-declared",
  observes: "Declared state of charge at the start.",
  why: "The resistance of a cell depends on its state of charge; without it two runs do not compare.",
  unit: "%",
  limits: { minimum: "lowest that is allowed, %", maximum: "highest that is allowed, %" },
  assess: ({ conditions }, limit) =>
    conditions.stateOfChargePercent == null
      ? null
      : within(conditions.stateOfChargePercent, { minimum: limit("minimum"), maximum: limit("maximum") }),
  seen: (observed) => `The run begins at a state of charge of ${observed}`,
  missing: "The state of charge was not declared (stateOfChargePercent).",
  advice: "Charge the pack fully, draw a known share of its capacity if you wish, and declare what is left.",
};
