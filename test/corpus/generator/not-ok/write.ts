import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { REFUSED_SHAPES } from "./refused-shapes.js";

/** Writes those files under `not-ok/` anew that are made, into the folder that is named: they are committed. */
const folder = process.argv[2];
if (folder === undefined) throw new Error("Name the folder to write to, such as test/corpus/not-ok");
for (const [name, bytes] of Object.entries(REFUSED_SHAPES)) writeFileSync(join(folder, name), bytes);
