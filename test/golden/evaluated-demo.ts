import { BENCHES } from "../../seed/scenario/benches.js";
import { PACKS } from "../../seed/scenario/packs.js";
import { produceRun } from "../../seed/scenario/produce.js";
import { RUNS, type ScenarioRun } from "../../seed/scenario/runs.js";
import { type EvaluatedRun, evaluate } from "../../src/core/evaluate.js";
import { NEWEST_PROTOCOLS } from "../../src/core/protocol/index.js";

let evaluated: Promise<ReadonlyMap<ScenarioRun, EvaluatedRun>> | undefined;

/** Every run of the demo, in its order, under the newest version of its protocol; evaluated once for all test files of a process. */
export function evaluatedDemo(): Promise<ReadonlyMap<ScenarioRun, EvaluatedRun>> {
  evaluated ??= evaluateAll();
  return evaluated;
}

async function evaluateAll(): Promise<ReadonlyMap<ScenarioRun, EvaluatedRun>> {
  const found = new Map<ScenarioRun, EvaluatedRun>();
  for (const run of RUNS) {
    const { log, ...conditions } = produceRun(run);
    const protocol = NEWEST_PROTOCOLS.find(({ key }) => key === run.protocol);
    if (!protocol) throw new Error("a run of the demo names no protocol");
    const facts = { pack: PACKS[run.pack], bench: BENCHES[run.bench].facts, conditions };
    found.set(run, await evaluate([log], facts, protocol));
  }
  return found;
}
