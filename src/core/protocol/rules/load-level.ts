import { type Rule, within } from "../rule.js";

export const LOAD_LEVEL: Rule = {
  id: "load-level",
  observes:
    "Current that the reference load would draw at 10 s over the current drawn: how far the translation carries the run.",
  why: "Farther from the reference load the translation is no longer trustworthy, and nothing is translated.",
  unit: "1",
  limits: { minimum: "least ratio", maximum: "largest ratio" },
  loads: ["full"],
  assess: ({ reads }, limit) =>
    reads.ratio === null
      ? null
      : within(reads.ratio, { minimum: limit("minimum"), maximum: limit("maximum") }, { fromS: 9.5, toS: 10.5 }),
  seen: (observed) => `At 10 s the reference load would draw ${observed} times the current of this run`,
  missing: ({ run }) =>
    run.rest === null
      ? "No rest before the load was logged, so the run cannot be set against the reference load."
      : "The run ended before 10 s, or its voltages are those of no pack, so it cannot be set against the reference load.",
  advice:
    "Above 1 the load was too light, below it too heavy. Use a load nearer to the reference load, if the maker's limits allow it: a resistance of the nominal voltage over 20 It.",
};
