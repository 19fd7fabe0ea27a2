import { type Rule, within } from "../rule.js";

export const TEMPERATURE_LOGGED: Rule = {
  id: "temperature-logged",
  observes: "Whether the log has a temperature.",
  why: "Without one nobody sees how near to its limit the pack is.",
  unit: "1",
  limits: { minimum: "fewest temperature channels" },
  assess: ({ run }, limit) => within(run.trace.temperature ? 1 : 0, { minimum: limit("minimum") }),
  seen: (observed) => `Temperature channels in the log: ${observed}`,
  missing: null,
  advice: "Fix a probe to the hottest face of the pack and log it: it protects you and shows how the pack heats.",
};
