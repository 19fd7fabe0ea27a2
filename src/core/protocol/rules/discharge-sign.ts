import { type Rule, within } from "../rule.js";

export const DISCHARGE_SIGN: Rule = {
  id: "discharge-sign",
  observes:
    "The load current as logged. Discharge is positive here. If a log counts discharge as negative, its current is inverted.",
  why: "The sign distinguishes discharge from charge. Inverting it is harmless, but it is reported.",
  unit: "A",
  limits: { minimum: "lowest load current, A" },
  assess: ({ run }, limit) =>
    within(run.samples.turned ? -run.loadCurrentA : run.loadCurrentA, { minimum: limit("minimum") }),
  seen: (observed) => `The logged load current is ${observed}`,
  missing: null,
  advice: "The current was inverted so that discharge is positive. You do not need to do anything.",
};
