import { type Rule, within } from "../rule.js";

export const FULL_CHARGE: Rule = {
  id: "full-charge",
  observes: "Rest voltage per cell just before the load, against that of a full cell of the chemistry.",
  why: "A pack that is not full delivers less power and less charge than it could.",
  unit: "V",
  limits: {
    below: "how far below that of a full cell it may be, V",
    above: "how far above that of a full cell it may be, V",
  },
  assess: ({ run, pack, cell }, limit) =>
    run.rest &&
    within(
      run.rest.volts / pack.series,
      { minimum: cell.full - limit("below"), maximum: cell.full + limit("above") },
      { fromS: -1, toS: 0 },
    ),
  seen: (observed) => `The rest voltage per cell before the load is ${observed}`,
  missing: "No rest before the load was logged, so the state of charge is not known.",
  advice: "Charge the pack fully by the maker's method, let it rest, and begin the log at least 2 s before the load.",
};
