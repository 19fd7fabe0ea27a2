import { type Rule, within } from "../rule.js";

/** Whether the log has a temperature channel. */
export const TEMPERATURE_LOGGED: Rule = {
  id: "temperature-logged",
  assess: ({ run }, limit) => within(run.trace.temperature ? 1 : 0, { minimum: limit("minimum") }),
  seen: (observed) => `Temperature channels in the log: ${observed}`,
  missing: "The log has no channels.",
  advice: "Fix a probe to the hottest face of the pack and log it: it protects you and shows how the pack heats.",
};
