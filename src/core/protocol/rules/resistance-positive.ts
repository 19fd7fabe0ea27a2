import { figureOf, type Rule } from "../rule.js";

/** U = 2 u: what people are shown. */
const COVERAGE = 2;

export const RESISTANCE_POSITIVE: Rule = {
  id: "resistance-positive",
  observes:
    "Resistance at 10 s, or from two pulses, plus twice its standard uncertainty: a pack's voltage falls under load.",
  why: "A voltage that rises under load is not that of a pack's terminals.",
  unit: "mohm",
  limits: { minimum: "resistance that it must be above, mohm" },
  assess: (test, limit) => {
    const least = limit("minimum");
    const figure = figureOf(test, "resistance-10s") ?? figureOf(test, "resistance-two-pulse");
    if (!figure) return null;
    const observed = figure.value + COVERAGE * figure.uncertainty;
    return { observed, passes: observed > least, limit: `> ${least}`, span: { fromS: -1, toS: test.run.stop.endS } };
  },
  seen: (observed) => `The resistance is at most ${observed}`,
  missing: "The run ended before 10 s, no rest was logged, or it has not the two pulses that are asked for.",
  advice: "Check which column was read as the voltage, and where it was sensed.",
};
