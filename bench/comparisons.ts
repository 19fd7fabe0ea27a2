/**
 * Prints the processor time of what follows an evaluation to find copies, in one warmed-up process: the hashes of a run, and a comparison with a
 * run of its own pack. The runs are those that `bench:load` uploads (12 of a pack; another number as the argument), of two packs.
 */

import { evaluate } from "../src/core/evaluate.js";
import { encodeTrace, TRACE_ENCODING } from "../src/core/trace/encode.js";

import type { TraceOfRun } from "../src/features/copies/copies.repository.js";
import { compareRuns, makeHashes } from "../src/features/copies/copies-thread.js";
import { AMBIENT_C, BENCH, logNumber } from "../test/durability/league-logs.js";
import { PACK } from "../test/support/facts.js";
import { newestProtocol } from "../test/support/protocols.js";

const RUNS = Number(process.argv[2] ?? 12);
const CAPACITIES_MAH = [1300, 5000];

const ALIKE = { shared: null, alike: true };

const protocol = newestProtocol("full-load");
const conditions = { ambientC: AMBIENT_C, restMinutes: 30, cycles: 12, setpointA: null };
const runs: TraceOfRun[][] = [];
for (const ratedCapacityMah of CAPACITIES_MAH) {
  const ofPack: TraceOfRun[] = [];
  for (let number = 0; number < RUNS; number++) {
    const log = new TextEncoder().encode(logNumber(number, ratedCapacityMah));
    const pack = { ...PACK, massGrams: null, ratedCapacityMah };
    const { trace } = await evaluate([log], { pack, bench: BENCH, conditions }, protocol);
    const runId = String(number).padStart(3, "0");
    const evaluationId = `${ratedCapacityMah}-${number}`;
    ofPack.push({ runId, evaluationId, encoding: TRACE_ENCODING, data: encodeTrace(trace) });
  }
  runs.push(ofPack);
}

let [hashesMs, comparisonsMs, hashed, compared, found] = [0, 0, 0, 0, 0];
for (const ofPack of runs) {
  for (const [number, own] of ofPack.entries()) {
    const begun = process.cpuUsage();
    const { query } = makeHashes(own);
    const between = process.cpuUsage();
    const others = ofPack.slice(Math.max(0, number - 6), number).map((other) => ({ ...other, hint: ALIKE }));
    found += compareRuns({ runId: own.runId, own, query, others }).length;
    // The first of a pack warm the process up.
    if (others.length < 6) continue;
    hashesMs += millisecondsSince(begun, between);
    comparisonsMs += millisecondsSince(between);
    hashed++;
    compared += others.length;
  }
}
console.log(`hashes of a run        ${(hashesMs / hashed).toFixed(1)} ms`);
console.log(
  `comparison of two runs ${(comparisonsMs / compared).toFixed(1)} ms (${compared} compared, ${found} called copies)`,
);

function millisecondsSince(begun: NodeJS.CpuUsage, end = process.cpuUsage()): number {
  return (end.user + end.system - begun.user - begun.system) / 1000;
}
