import { type Rule, within } from "../rule.js";

/** The current under load as the log has it: discharge counts as positive. */
export const DISCHARGE_SIGN: Rule = {
  id: "discharge-sign",
  assess: ({ run }, limit) =>
    within(run.samples.turned ? -run.loadCurrentA : run.loadCurrentA, { minimum: limit("minimum") }),
  seen: (observed) => `The load current in the log is ${observed}`,
  missing: "The log has no load.",
  advice: "The sign was turned, so that discharge is positive; nothing needs to be done.",
};
