import { readFileSync } from "node:fs";
import { copyEvidence } from "../../src/core/copies/evidence.js";
import { evaluate } from "../../src/core/evaluate.js";
import { movementRatio } from "../../src/core/plausibility/still-load.js";
import { PROTOCOLS } from "../../src/core/protocol/index.js";
import { packConsensus } from "../../src/core/statistics/standing.js";
import { buildModel } from "../../src/core/use/model/build-model.js";
import { predictUse } from "../../src/core/use/predict.js";
import { simulateRecord, THREE_TESTERS } from "../predictions/pooled-pack.js";

/**
 * A process of its own: takes from `Math` what ECMA-262 leaves to the engine, and then evaluates, ranks, pools, predicts and seeks
 * copies. Where the core or a package that it uses asks for any of it, this fails with its name.
 */
const FIXTURES = new URL("../cross-checks/fixtures/", import.meta.url);
const record = simulateRecord("B", "lihv", "p1", THREE_TESTERS);

const FIXED = new Set(["abs", "ceil", "clz32", "floor", "imul", "max", "min", "round", "sign", "sqrt", "trunc"]);
for (const name of Object.getOwnPropertyNames(Math)) {
  if (FIXED.has(name) || typeof Math[name as keyof Math] !== "function") continue;
  Object.defineProperty(Math, name, {
    value: () => {
      throw new Error(`asks the engine for Math.${name}`);
    },
  });
}

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
  lasts: predictUse(
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
