import { createHash } from "node:crypto";
import { CASES } from "./cases.js";
import { textOf } from "./draft.js";

/** Logs and declarations by file name, as they are committed under test/corpus/not-conforming. */
export function corpusFiles(): ReadonlyMap<string, string> {
  const files = new Map<string, string>();
  for (const { fails, shows, draft } of CASES) {
    const { protocol, pack, stated, conditions } = draft;
    const name = fails.join("+");
    const declared = { shows, protocol, pack, bench: stated, conditions };
    files.set(`${name}.csv`, textOf(draft, seedOf(name)));
    files.set(`${name}.json`, `${JSON.stringify(declared, null, 2)}\n`);
  }
  return files;
}

/** A seed that depends on the name alone, so that a new case changes no other file. */
const seedOf = (name: string): number => 1 + createHash("sha256").update(name).digest().readUInt32BE();
