import { randomUUID } from "node:crypto";
import { availableParallelism } from "node:os";
import { parseArgs } from "node:util";
import { buildModel } from "../src/core/use/model/build-model.js";
import type { PackModel } from "../src/core/use/model/pack-model.js";
import { demandFor, predictUse } from "../src/core/use/predict.js";
import type { Judgement } from "../src/core/use/select.js";
import type { Use } from "../src/core/use/use.js";
import type { JudgeTask, SharedModel } from "../src/features/use/selections/judge-thread.js";
import { readConfig } from "../src/platform/config/config.js";
import { Threads } from "../src/platform/threads/threads.js";
import { simulateRecord, THREE_TESTERS } from "../test/predictions/pooled-pack.js";

// Packs of one class through a use of ten minutes: as the service selects, in two threads, against the plain loop that predicts one pack
// after another. Models are those fitted to a few simulated packs, each with another capacity and resistance.

const { values } = parseArgs({
  options: { packs: { type: "string", default: "1000" }, rounds: { type: "string", default: "5" } },
});
const count = Number(values.packs);
const FITTED = 4;
const PACKS_AT_ONCE = 100;

const steady: Use = {
  steps: [{ seconds: 600, powerW: 0 }],
  repeats: 1,
  startC: 23,
  ambientC: 23,
  cutoffVoltsPerCell: 3.3,
  reserve: 0.2,
  temperatureLimitC: 60,
};

const records = Array.from({ length: FITTED }, (_, n) => simulateRecord("B", "lipo", `p${n}`, THREE_TESTERS));
const series = records[0]?.facts.series as number;
const fitted = records.flatMap(({ facts, runs }) => buildModel({ ...facts, series }, runs, "established") ?? []);
/** A charge that ten minutes draw in part: some packs hold the use, some do not, and some are close to its limit. */
const meanChargeAh = fitted.reduce((sum, { chargeAh }) => sum + chargeAh, 0) / fitted.length;
const watts = meanChargeAh * 6 * 0.65 * 3.7 * series;
const uses: readonly (readonly [string, Use])[] = [
  ["steady power", { ...steady, steps: [{ seconds: 600, powerW: watts }] }],
  [
    "laps of 5 s and 15 s",
    {
      ...steady,
      steps: [
        { seconds: 5, powerW: 1.6 * watts },
        { seconds: 15, powerW: 0.8 * watts },
      ],
      repeats: 30,
    },
  ],
];

/** The n-th pack: a fitted model with a charge and resistance of its own, wide enough in what was measured to answer. */
function packOf(n: number): PackModel {
  const model = fitted[n % fitted.length] as PackModel;
  const charge = (meanChargeAh / model.chargeAh) * (0.6 + (0.9 * n) / count);
  const { range } = model;
  return {
    ...model,
    chargeAh: model.chargeAh * charge,
    seriesOhm: model.seriesOhm / charge,
    relaxations: model.relaxations.map(({ seconds, ohm }) => ({ seconds, ohm: ohm / charge })),
    range: { ...range, meanA: [range.meanA[0] / 4, range.meanA[1] * 4], peakA: range.peakA * 4, maxC: 90 },
  };
}

const models = Array.from({ length: count }, (_, n) => packOf(n));
const shared: SharedModel[] = models.map((model) => {
  const text = JSON.stringify(model);
  const json = new SharedArrayBuffer(Buffer.byteLength(text));
  Buffer.from(json).write(text);
  return { packId: randomUUID(), revision: "1", json };
});
const whose = { kind: "unknown-specimen" } as const;
const threads = new Threads(readConfig({ EVALUATION_THREADS: "2" }));

async function inThreads(use: Use): Promise<(Judgement | null)[]> {
  const call = { module: "src/features/use/selections/judge-thread.js", name: "judgeInThread" };
  const parts: Promise<(Judgement | null)[]>[] = [];
  for (let i = 0; i < count; i += PACKS_AT_ONCE) {
    const task = { models: shared.slice(i, i + PACKS_AT_ONCE), series, use, whose, isWhole: false };
    parts.push(threads.run<JudgeTask, (Judgement | null)[]>(call, task));
  }
  return (await Promise.all(parts)).flat();
}

const plainLoop = (use: Use) => models.map((model) => predictUse(model, use, whose));

async function timed<T>(work: () => T | Promise<T>): Promise<[ms: number, got: T]> {
  const from = performance.now();
  const got = await work();
  return [performance.now() - from, got];
}
const middle = (times: readonly number[]) => times.toSorted((a, b) => a - b)[times.length >> 1] as number;

console.log(`${count} packs, ${availableParallelism()} cores, median of ${values.rounds} rounds in turns\n`);
console.log(
  "| use | stretches | holding | first, ms | selection, ms | its processor time, ms | plain loop, ms | ratio | largest difference of probability |",
);
console.log("|---|---|---|---|---|---|---|---|---|");
for (const [name, use] of uses) {
  const [first] = await timed(() => inThreads(use));
  const [ours, theirs, busy]: [number[], number[], number[]] = [[], [], []];
  let [holding, apart] = [0, 0];
  for (let round = 0; round < Number(values.rounds); round++) {
    const before = process.cpuUsage();
    const [ms, judged] = await timed(() => inThreads(use));
    const { user, system } = process.cpuUsage(before);
    busy.push((user + system) / 1_000);
    const [plainMs, predicted] = await timed(() => plainLoop(use));
    ours.push(ms);
    theirs.push(plainMs);
    holding = judged.filter((one) => one?.holds).length;
    if (judged.some((one, n) => (one?.holds ?? null) !== predicted[n]?.holds)) throw new Error("they do not agree");
    apart = Math.max(...judged.map((one, n) => Math.abs((one?.probability ?? 0) - (predicted[n]?.probability ?? 0))));
  }
  const cells = [first, middle(ours), middle(busy), middle(theirs)].map((ms) => ms.toFixed(0));
  const ratio = (middle(theirs) / middle(ours)).toFixed(1);
  console.log(
    `| ${[name, demandFor(use, series).seconds.length, holding, ...cells, ratio, apart.toExponential(1)].join(" | ")} |`,
  );
}
await threads.onApplicationShutdown();
