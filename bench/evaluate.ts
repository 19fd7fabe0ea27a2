import { here, pandas, sideBySide } from "./side-by-side.js";

/** The whole evaluation, bytes to findings, against reading with pandas and summing up in numpy. */
sideBySide([
  {
    name: "packledger evaluate",
    command: process.execPath,
    args: (log, rounds) => [here("one-evaluation.js"), log, String(rounds)],
  },
  pandas("pandas and numpy", "metrics"),
]);
