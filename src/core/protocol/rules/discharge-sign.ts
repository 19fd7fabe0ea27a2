import { type Rule, within } from "../rule.js";

export const DISCHARGE_SIGN: Rule = {
  id: "discharge-sign",
  observes:
    "Load current as the log has it. Here discharge is positive, and a log that counts it as negative is turned.",
  why: "The sign tells discharge from charge; turning it is harmless but is said.",
  unit: "A",
  limits: { minimum: "least load current, A" },
  assess: ({ run }, limit) =>
    within(run.samples.turned ? -run.loadCurrentA : run.loadCurrentA, { minimum: limit("minimum") }),
  seen: (observed) => `The load current in the log is ${observed}`,
  missing: null,
  advice: "The sign was turned, so that discharge is positive; nothing needs to be done.",
};
