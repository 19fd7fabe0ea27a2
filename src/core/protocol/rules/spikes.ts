import { counted, type Rule } from "../rule.js";

export const SPIKES: Rule = {
  id: "spikes",
  observes:
    "Samples that jump off their neighbours and back, as no pack and no load does, and are more than may be mended.",
  why: "A few such samples are mended and said; many mean that the sensors, or what they pick up, cannot be trusted.",
  unit: "1",
  limits: { maximum: "most samples" },
  assess: ({ run }, limit) => counted(run.spikes.left, limit("maximum")),
  seen: (observed) => `Samples that jump off their neighbours and back, and were not mended: ${observed}`,
  missing: null,
  advice:
    "Look for a loose sense wire or probe and for interference from the load's leads; twist or screen the sensors' wires, and keep the logger away from the leads.",
};
