/** Writes the fixtures' logs, metadata and noise-free figures; README.md says how to run it. */
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { fixtureFiles } from "./fixture-files.js";

const [folder] = process.argv.slice(2);
if (folder === undefined) throw new Error("Name the folder to write to");
for (const [name, text] of fixtureFiles()) writeFileSync(join(folder, name), text);
