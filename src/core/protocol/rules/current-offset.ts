import { type Rule, round } from "../rule.js";

export const CURRENT_OFFSET: Rule = {
  id: "current-offset",
  observes: "The offset of the current sensor that was subtracted.",
  why: "A large offset may drift during the run. Subtracting its value at rest does not correct the drift.",
  unit: "A",
  limits: { maximumPercent: "largest usual offset, % of the load current" },
  assess: ({ run }, limit) => {
    if (!run.zero?.subtracted) return null;
    const most = (limit("maximumPercent") / 100) * run.loadCurrentA;
    return { observed: run.zero.offsetA, passes: Math.abs(run.zero.offsetA) <= most, limit: `within +-${round(most)}` };
  },
  seen: (observed) => `The offset of the current sensor is ${observed}`,
  missing: "No offset of the current sensor was subtracted.",
  advice: "The offset was subtracted. Zero the sensor before the next run.",
};
