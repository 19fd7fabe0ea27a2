import { type Rule, round } from "../rule.js";

/** An offset of the current sensor large enough to matter; it was subtracted. */
export const CURRENT_OFFSET: Rule = {
  id: "current-offset",
  assess: ({ run }, limit) => {
    if (!run.zero?.subtracted) return null;
    const most = (limit("maximumPercent") / 100) * run.loadCurrentA;
    return { observed: run.zero.offsetA, passes: Math.abs(run.zero.offsetA) <= most, limit: `within +-${round(most)}` };
  },
  seen: (observed) => `The current sensor's offset is ${observed}`,
  missing: "No offset of the current sensor was subtracted.",
  advice: "It was subtracted. Zero the sensor before the next run.",
};
