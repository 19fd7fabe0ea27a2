import { type Rule, within } from "../rule.js";

/** Rest voltage per cell just before the load. */
export const FULL_CHARGE: Rule = {
  id: "full-charge",
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
