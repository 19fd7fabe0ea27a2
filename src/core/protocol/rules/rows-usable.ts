import { type Rule, within } from "../rule.js";

/** Share of the log's rows that hold a time, a voltage and a current. */
export const ROWS_USABLE: Rule = {
  id: "rows-usable",
  assess: ({ run }, limit) => {
    const { samples } = run;
    const all = samples.time.length + samples.unusable.count + samples.unordered.count + samples.duplicates.count;
    return within(100 * (1 - samples.unusable.count / all), { minimum: limit("minimum") });
  },
  seen: (observed) => `Rows with a number for time, voltage and current: ${observed}`,
  missing: "The log has no rows.",
  advice: "Check the sensors' connections; rows with blanks or text in place of numbers are left out.",
};
