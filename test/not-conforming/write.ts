import { mkdirSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { corpusFiles } from "./corpus.js";

/** Writes the files anew into the folder that is named: they are committed. */
const folder = process.argv[2];
if (folder === undefined) throw new Error("Name the folder to write to, such as test/corpus/not-conforming");
rmSync(folder, { recursive: true, force: true });
mkdirSync(folder, { recursive: true });
for (const [name, text] of corpusFiles()) writeFileSync(join(folder, name), text);
