import { type Rule, within } from "../rule.js";

export const ROWS_USABLE: Rule = {
  id: "rows-usable",
  observes: "The share of rows that have a time, a voltage and a current, in the part of the log that is evaluated.",
  why: "Rows with missing values are left out. Many of them mean a loose connection.",
  unit: "%",
  limits: { minimum: "lowest share of usable rows, %" },
  assess: ({ run }, limit) => {
    const { from, to, unusable, unordered, duplicates } = run.part;
    const all = to - from + unusable.count + unordered.count + duplicates.count;
    const observation = within(100 * (1 - unusable.count / all), { minimum: limit("minimum") });
    const line = unusable.first?.line;
    return line === undefined
      ? observation
      : { ...observation, place: `the first incomplete row is line ${line} of the log` };
  },
  seen: (observed) => `Rows with time, voltage and current: ${observed}`,
  missing: null,
  advice: "Check the connections of the sensors. Rows with empty cells or text instead of numbers are left out.",
};
