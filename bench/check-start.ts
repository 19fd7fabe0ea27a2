import { spawnSync } from "node:child_process";
import { join } from "node:path";

/** Whole processes, one after the other: a check at the command line against Node that imports core alone and evaluates the same log. */
const TURNS = 15;
const LOG = "docs/example/discharge.csv";
const RUN_FILE = "docs/example/check.json";

const commands = {
  "packledger check": ["bin/packledger.js", "check", "--run", RUN_FILE, LOG],
  "node with core alone": [join(import.meta.dirname, "core-alone.js"), LOG, RUN_FILE],
};

const times = new Map(Object.keys(commands).map((name) => [name, [] as number[]]));
for (let turn = 0; turn < TURNS; turn++) {
  for (const [name, args] of Object.entries(commands)) {
    const from = performance.now();
    const { status, stderr } = spawnSync(process.execPath, args);
    times.get(name)?.push(performance.now() - from);
    if (status !== 0) throw new Error(`${name}: ${stderr}`);
  }
}

const middle = (values: readonly number[]) => values.toSorted((a, b) => a - b)[values.length >> 1] ?? Number.NaN;
const least = middle(times.get("node with core alone") ?? []);
console.log("| | median, ms | ratio |\n|---|---|---|");
for (const [name, values] of times) {
  console.log(`| ${name} | ${middle(values).toFixed(0)} | ${(middle(values) / least).toFixed(2)} |`);
}
