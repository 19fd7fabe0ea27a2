import { counted, type Rule } from "../rule.js";

/** Samples that jump as no pack and no load does, and are more than may be mended. */
export const SPIKES: Rule = {
  id: "spikes",
  assess: ({ run }, limit) => counted(run.spikes.left, limit("maximum")),
  seen: (observed) => `Samples that jump off their neighbours and back, and were not mended: ${observed}`,
  missing: "The log has no samples.",
  advice:
    "Look for a loose sense wire or probe and for interference from the load's leads; twist or screen the sensors' wires, and keep the logger away from the leads.",
};
