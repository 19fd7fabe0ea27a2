import { mkdirSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { corpusFiles } from "./corpus.js";

/** Writes the files anew into the folder that is named, and no others: `npm run corpus`. */
const folder = process.argv[2];
if (folder === undefined) throw new Error("Name the folder to write to, such as test/corpus/not-conforming");
const files = corpusFiles();
rmSync(folder, { recursive: true, force: true });
mkdirSync(folder, { recursive: true });
for (const [name, text] of files) writeFileSync(join(folder, name), text);
