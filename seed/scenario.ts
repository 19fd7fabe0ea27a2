export { BENCHES, type BenchKey, MODERATORS, TESTERS, type TesterHandle } from "./scenario/benches.js";
export { PACKS, type PackKey } from "./scenario/packs.js";
export { produceRun } from "./scenario/produce.js";
export { RUNS, type ScenarioRun } from "./scenario/runs.js";
