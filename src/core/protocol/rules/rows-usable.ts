import { type Rule, within } from "../rule.js";

export const ROWS_USABLE: Rule = {
  id: "rows-usable",
  observes: "Share of the log's rows that hold a time, a voltage and a current.",
  why: "Rows without numbers are left out, and many of them mean a loose connection.",
  unit: "%",
  limits: { minimum: "least share, %" },
  assess: ({ run }, limit) => {
    const { time, unusable, unordered, duplicates } = run.samples;
    const all = time.length + unusable.count + unordered.count + duplicates.count;
    const observation = within(100 * (1 - unusable.count / all), { minimum: limit("minimum") });
    const line = unusable.first?.line;
    return line === undefined
      ? observation
      : { ...observation, place: `the first without one is line ${line} of the log` };
  },
  seen: (observed) => `Rows with a number for time, voltage and current: ${observed}`,
  missing: null,
  advice: "Check the sensors' connections; rows with blanks or text in place of numbers are left out.",
};
