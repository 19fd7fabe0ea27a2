import { readFileSync } from "node:fs";
import { evaluate } from "../src/core/evaluate.js";
import { FULL_LOAD_1 } from "../src/core/protocol/documents/full-load-1.js";
import { chunksOf } from "../src/core/table/archive/chunks.js";

/** One process of the evaluation bench: evaluates the log several times, and prints the median in ms. */
const FACTS = {
  pack: {
    chemistry: "lipo",
    series: 4,
    parallel: 1,
    ratedCapacityMah: 16_000,
    labelContinuousC: 25,
    labelBurstC: 50,
    massGrams: 1600,
  },
  bench: {
    load: { kind: "constant-current" },
    voltage: { percent: 0.1, offset: 0.005 },
    current: { percent: 0.3, offset: 0.1 },
    temperature: { offset: 1 },
    sense: { point: "pack" },
  },
  conditions: { ambientC: 21.5, restMinutes: 30, cycles: 12, setpointA: null },
} as const;

const [, , file = "", rounds = "5"] = process.argv;
const log = readFileSync(file);
const times: number[] = [];
for (let round = 0; round < Number(rounds); round++) {
  const from = performance.now();
  const { evaluation } = await evaluate(chunksOf(log), FACTS, FULL_LOAD_1);
  times.push(performance.now() - from);
  if (evaluation.figures.length === 0) throw new Error("nothing was evaluated");
}
times.sort((a, b) => a - b);
console.log(times[times.length >> 1]);
