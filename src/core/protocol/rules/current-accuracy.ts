import { statedAccuracy } from "../observe/stated-accuracy.js";
import type { Rule } from "../rule.js";

export const CURRENT_ACCURACY: Rule = {
  id: "current-accuracy",
  observes: "Stated accuracy of the current sensor, as a half-width at the load current.",
  why: "Every figure made of the current is only as certain as its sensor.",
  unit: "A",
  limits: {
    percent: "widest accuracy that is allowed: its part in % of the reading",
    offset: "widest accuracy that is allowed: its constant part, A",
    leastPercent: "smallest half-width that is believable, % of the reading",
  },
  assess: ({ bench, run }, limit) => statedAccuracy(bench.current, run.loadCurrentA, limit),
  seen: (observed) => `The bench states its current to within ${observed} at this load`,
  missing: null,
  advice:
    "Use a more accurate current sensor, or have this one calibrated, and state what its maker or calibration says: no instrument is exact.",
};
