import { type Rule, within } from "../rule.js";

/** Declared state of charge at the start. */
export const CHARGE_STATE_DECLARED: Rule = {
  id: "charge-state-declared",
  assess: ({ conditions }, limit) =>
    conditions.stateOfChargePercent == null
      ? null
      : within(conditions.stateOfChargePercent, { minimum: limit("minimum"), maximum: limit("maximum") }),
  seen: (observed) => `The run begins at a state of charge of ${observed}`,
  missing: "The state of charge was not declared (stateOfChargePercent).",
  advice: "Charge the pack fully, draw a known share of its capacity if you wish, and declare what is left.",
};
