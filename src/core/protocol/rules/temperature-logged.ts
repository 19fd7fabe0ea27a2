import { type Rule, within } from "../rule.js";

export const TEMPERATURE_LOGGED: Rule = {
  id: "temperature-logged",
  observes: "The number of temperature channels in the log.",
  why: "Without a temperature nobody sees how close the pack is to its limit.",
  unit: "channels",
  limits: { minimum: "lowest number of temperature channels" },
  assess: ({ run }, limit) => within(run.trace.temperature ? 1 : 0, { minimum: limit("minimum") }),
  seen: (observed) => `Temperature channels in the log: ${observed}`,
  missing: null,
  advice:
    "Fix a probe to the hottest face of the pack and log its temperature. It protects you and shows how the pack heats.",
};
