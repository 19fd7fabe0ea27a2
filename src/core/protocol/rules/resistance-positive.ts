import { figureValue, type Rule } from "../rule.js";

export const RESISTANCE_POSITIVE: Rule = {
  id: "resistance-positive",
  observes: "Resistance at 10 s, or from two pulses: a pack's voltage falls under load.",
  why: "A voltage that rises under load is not that of a pack's terminals.",
  unit: "mohm",
  limits: { minimum: "resistance that it must be above, mohm" },
  assess: (test, limit) => {
    const observed = figureValue(test, "resistance-10s") ?? figureValue(test, "resistance-two-pulse");
    return observed === null
      ? null
      : {
          observed,
          passes: observed > limit("minimum"),
          limit: `> ${limit("minimum")}`,
          span: { fromS: -1, toS: 10.5 },
        };
  },
  seen: (observed) => `The resistance at 10 s is ${observed}`,
  missing: "The run ended before 10 s or no rest was logged.",
  advice: "Check which column was read as the voltage, and where it was sensed.",
};
