import { type Rule, within } from "../rule.js";

export const STANDARD_LOAD: Rule = {
  id: "standard-load",
  observes:
    "Current that the nearest standard load would draw at 10 s over the current drawn: how far the translation carries the run.",
  why: "Benches do not pull the same load. Packs are compared under standard loads, to which a run is translated from near by.",
  unit: "ratio",
  limits: { minimum: "lowest ratio", maximum: "highest ratio" },
  loads: ["full"],
  assess: ({ reads }, limit) =>
    reads.nearestRatio === null
      ? null
      : within(reads.nearestRatio, { minimum: limit("minimum"), maximum: limit("maximum") }, { fromS: 9.5, toS: 10.5 }),
  seen: (observed) => `At 10 s the nearest standard load would draw ${observed} times the current of this run`,
  missing: ({ run }) =>
    run.rest === null
      ? "No rest before the load was logged, so the run cannot be translated to a standard load."
      : "The run ended before 10 s, or its voltages are those of no pack, so it cannot be translated to a standard load.",
  advice: "Standard loads draw 0.1 to 8000 A. Check the unit of the current.",
};
