import { statedAccuracy } from "../observe/stated-accuracy.js";
import type { Rule } from "../rule.js";

export const CURRENT_ACCURACY: Rule = {
  id: "current-accuracy",
  observes: "The stated accuracy of the current sensor, as a half-width at the load current.",
  why: "A figure that uses the current cannot be more certain than the current sensor.",
  unit: "A",
  limits: {
    percent: "widest accuracy allowed, part in % of the reading",
    offset: "widest accuracy allowed, constant part, A",
    leastPercent: "smallest plausible half-width, % of the reading",
  },
  assess: ({ bench, run }, limit) => statedAccuracy(bench.current, run.loadCurrentA, limit),
  seen: (observed) => `The stated accuracy of the current at this load is +-${observed}`,
  missing: null,
  advice:
    "Use a more accurate current sensor, or have this one calibrated. State what its maker or its calibration says. No instrument is exact.",
};
