import { mkdirSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { OK_FILES } from "./ok-files.js";

/** Writes the files anew into the folder that is named, and no others: `npm run corpus`. */
const folder = process.argv[2];
if (folder === undefined) throw new Error("Name the folder to write to, such as test/corpus/ok");
rmSync(folder, { recursive: true, force: true });
mkdirSync(folder, { recursive: true });
for (const [name, bytes] of Object.entries(OK_FILES)) writeFileSync(join(folder, name), bytes);
