import { writeFileSync } from "node:fs";
import { goldenText } from "./golden.js";

/** Writes the golden results anew: `npm run golden`. What changed is then read in the difference, before it is committed. */
const [, , file] = process.argv;
if (!file) throw new Error("usage: write-golden FILE");
writeFileSync(file, await goldenText());
