import { COVERAGE_FACTOR } from "../../uncertainty/coverage-factor.js";
import { figureOf, type Rule } from "../rule.js";

export const RESISTANCE_POSITIVE: Rule = {
  id: "resistance-positive",
  observes: "The resistance at 10 s, or from two pulses, plus twice its standard uncertainty.",
  why: "The voltage of a pack falls under load. A voltage that rises is not the voltage at the terminals of a pack.",
  unit: "mohm",
  limits: { minimum: "resistance that must be exceeded, mohm" },
  assess: (test, limit) => {
    const least = limit("minimum");
    const figure = figureOf(test, "resistance-10s") ?? figureOf(test, "resistance-two-pulse");
    if (!figure) return null;
    const observed = figure.value + COVERAGE_FACTOR * figure.uncertainty;
    return { observed, passes: observed > least, limit: `> ${least}`, span: { fromS: -1, toS: test.run.stop.endS } };
  },
  seen: (observed) => `The resistance is at most ${observed}`,
  missing: "The run ended before 10 s, the log has no rest, or the two pulses are missing.",
  advice: "Check which column was taken as the voltage, and where the voltage was sensed.",
};
