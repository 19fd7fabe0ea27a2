import { type Contender, here, pandas, sideBySide } from "./side-by-side.js";

/** Reading: the log's bytes to arrays of numbers, against the least it can cost and against the usual readers. */
const reader = (name: string): Contender => ({
  name,
  command: process.execPath,
  args: (log, rounds) => [here("one-read.js"), name, log, String(rounds)],
});

sideBySide([
  ...["packledger", "floor", "udsv", "papaparse", "csv-parse"].map(reader),
  pandas("pandas read_csv", "read"),
]);
