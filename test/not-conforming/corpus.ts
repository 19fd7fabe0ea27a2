import { CASES } from "./cases.js";
import { textOf } from "./draft.js";

const FIRST_SEED = 5101;

/** Logs and declarations by file name, as they are committed under test/corpus/not-conforming. */
export function corpusFiles(): ReadonlyMap<string, string> {
  const files = new Map<string, string>();
  for (const [index, { fails, shows, draft }] of CASES.entries()) {
    const { protocol, pack, stated, conditions } = draft;
    const name = fails.join("+");
    const declared = { shows, protocol: { key: protocol, version: 1 }, pack, bench: stated, conditions };
    files.set(`${name}.csv`, textOf(draft, FIRST_SEED + index));
    files.set(`${name}.json`, `${JSON.stringify(declared, null, 2)}\n`);
  }
  return files;
}
