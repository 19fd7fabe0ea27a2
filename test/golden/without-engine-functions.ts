import { readFileSync } from "node:fs";
import { deserialize } from "node:v8";
import { copyEvidence } from "../../src/core/copies/evidence.js";
import { hashesToIndex, hashesToQuery } from "../../src/core/copies/hashes.js";
import { evaluate } from "../../src/core/evaluate.js";
import { movementRatio } from "../../src/core/plausibility/still-load.js";
import { PROTOCOLS } from "../../src/core/protocol/index.js";
import { packConsensus } from "../../src/core/statistics/standing.js";
import { buildModel } from "../../src/core/use/model/build-model.js";
import { predictUse } from "../../src/core/use/predict.js";
import type { SimulatedRecord } from "../predictions/pooled-pack.js";

/**
 * A process of its own, started without the functions that `take-engine-functions.ts` names: evaluates, ranks, pools, predicts and seeks
 * copies. Its argument is a file with a simulated record, since the simulator itself needs those functions.
 */
const FIXTURES = new URL("../cross-checks/fixtures/", import.meta.url);
const [, , recordFile = ""] = process.argv;
const record = deserialize(readFileSync(recordFile)) as Pick<SimulatedRecord, "facts" | "runs">;

async function evaluated(name: string) {
  const read = (end: string) => readFileSync(new URL(`${name}${end}`, FIXTURES));
  const {
    pack,
    bench,
    conditions,
    discharge = null,
    protocol: asked,
  } = JSON.parse(read(".meta.json").toString("utf8"));
  const protocol = PROTOCOLS.find(({ key, version }) => key === asked.key && version === asked.version);
  if (!protocol) throw new Error(`${name} names no protocol`);
  return evaluate([read(".csv")], { pack, bench, conditions, discharge }, protocol);
}

const [logged] = await Promise.all(["jitter-25hz", "closed-form-two-pulse", "ladder-hot"].map(evaluated));
const figures = logged?.evaluation.figures.filter(({ basis }) => basis === "translated") ?? [];
const results = figures.map((one, i) => ({ ...one, testerId: `t${i % 5}` }));
const model = buildModel(record.facts, record.runs, "provisional");
if (!logged || !model || results.length < 10) throw new Error("nothing to ask");
const found = {
  figures: figures.length,
  standing: packConsensus(results).result,
  still: movementRatio(logged.trace),
  copies: copyEvidence(logged.trace, logged.trace, [{ lagS: 0, withinS: 1, byCourse: true }]).length,
  indexed: hashesToIndex(logged.trace).hashes.length,
  queried: hashesToQuery(logged.trace).hashes.length,
  holds: predictUse(
    model,
    {
      steps: [{ seconds: 60, powerW: 400 }],
      repeats: 1,
      startC: 25,
      ambientC: 25,
      cutoffVoltsPerCell: 3.3,
      reserve: 0,
      temperatureLimitC: 60,
    },
    { kind: "mean" },
  ).holds,
};
console.log(JSON.stringify(found));
