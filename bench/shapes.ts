import { SHAPES } from "./make-log.js";
import { here, pandas, sideBySide } from "./side-by-side.js";

/** Reading the same samples in other shapes than plain numbers with commas, each against pandas on the same file. */
for (const shape of SHAPES) {
  console.log(`\n${shape}\n`);
  sideBySide(
    [
      {
        name: "packledger",
        command: process.execPath,
        args: (log, rounds) => [here("one-read.js"), "packledger", log, String(rounds)],
      },
      pandas("pandas read_csv", shape),
    ],
    shape,
  );
}
