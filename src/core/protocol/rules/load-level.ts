import { type Rule, within } from "../rule.js";

export const LOAD_LEVEL: Rule = {
  id: "load-level",
  observes:
    "The current that the reference load would draw at 10 s, divided by the current of the run. It says how far the translation has to carry the run.",
  why: "The translation cannot be trusted far from the reference load. Such a run is not translated.",
  unit: "ratio",
  limits: { minimum: "lowest ratio", maximum: "highest ratio" },
  loads: ["full"],
  assess: ({ reads }, limit) =>
    reads.ratio === null
      ? null
      : within(reads.ratio, { minimum: limit("minimum"), maximum: limit("maximum") }, { fromS: 9.5, toS: 10.5 }),
  seen: (observed) => `At 10 s the reference load would draw ${observed} times the current of this run`,
  missing: ({ run }) =>
    run.rest === null
      ? "The log has no rest before the load, so the run cannot be compared with the reference load."
      : "The run ended before 10 s, or its voltages are not those of a pack, so it cannot be compared with the reference load.",
  advice:
    "Above 1 the load was too light, below 1 it was too heavy. Use a load closer to the reference load if the maker's limits allow it: a resistance of the nominal voltage divided by 20 It.",
};
