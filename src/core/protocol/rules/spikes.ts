import { counted, type Rule } from "../rule.js";

export const SPIKES: Rule = {
  id: "spikes",
  observes:
    "The number of spike samples that were not repaired. A spike jumps away from its neighbours and back faster than a pack or a load can. A few spikes are repaired, more are not.",
  why: "A few repaired spikes do no harm and are reported. Many spikes mean that the sensors cannot be trusted.",
  unit: "samples",
  limits: { maximum: "largest number of samples allowed" },
  assess: ({ run }, limit) => counted(run.spikes.left, limit("maximum")),
  seen: (observed) => `Spike samples that were not repaired: ${observed}`,
  missing: null,
  advice:
    "Check for a loose sense wire or probe, and for interference from the load leads. Twist or shield the sensor wires, and keep the logger away from the load leads.",
};
