import { beforeAll, describe, expect, test } from "@jest/globals";
import { CHEMISTRIES, type Evaluation, LOAD_KINDS } from "../../src/core/model.js";
import { EXACT_BENCH } from "../cross-checks/simulator/bench.js";
import { drawNoisyBench } from "../cross-checks/simulator/noisy-bench.js";
import { drawPack } from "../cross-checks/simulator/populations.js";
import { randomOf } from "../cross-checks/simulator/random.js";
import { sizeLoad } from "../cross-checks/simulator/size-load.js";
import type { TrueFigures } from "../cross-checks/simulator/true-figures.js";
import { evaluateText } from "../support/evaluated.js";
import { newestProtocol, withoutTranslations } from "../support/protocols.js";
import { carried } from "./fleet.js";

const RUNS = Number(process.env.MONTE_CARLO_RUNS ?? 24);
/** Of 48 runs fewer lie within 2 u once in a thousand times where 93 % of all do (binomial distribution). */
const MIN_WITHIN = 0.81;
const protocol = withoutTranslations(newestProtocol("full-load"));

interface SmoothedRun {
  readonly evaluation: Evaluation;
  readonly truth: TrueFigures;
}

/** The longest moving mean of a rise that the protocol still takes, 1 s from 10 to 90 %. */
const LONGEST_MEAN_S = 1.2;

/** A full load on a bench with no other errors, whose logger averages the current over the last 0.3 to 1.2 s, or lets it lag, and reads the voltage at once. */
async function drawLagging(n: number): Promise<SmoothedRun | null> {
  const seed = `lagging ${n}`;
  const random = randomOf(seed);
  const pack = drawPack(random.pick(["A", "B", "C"]), random.pick(CHEMISTRIES), seed);
  const load = sizeLoad(
    pack,
    { kind: random.pick(LOAD_KINDS), standardA: pack.suitedLoadA, ratio: random.between(1, 2) },
    random,
  );
  const kind = random.pick(["mean", "lag"] as const);
  const current = {
    kind,
    seconds: kind === "mean" ? random.logBetween(0.3, LONGEST_MEAN_S) : random.logBetween(0.2, 0.4),
  };
  const noise = { gain: 0, offset: 0, noise: 0.001 * pack.suitedLoadA, step: 0.01 };
  const bench = {
    ...EXACT_BENCH,
    rateHz: random.logBetween(8, 50),
    smoothing: { current },
    current: noise,
    rampSeconds: random.logBetween(0.01, 0.2),
  };
  const run = carried(() => ({ pack, load, bench, seed }));
  if (!run?.truth.own) return null;
  const facts = { ...run.facts, bench: { ...run.facts.bench, clockPercent: 0.001 } };
  return { evaluation: await evaluateText(run.csv, facts, protocol), truth: run.truth.own };
}

/** A full load that goes within 0.5 s of its cutoff, on a logger that smooths the current alone or both channels over 0.05 to 0.5 s. */
async function drawSmoothed(n: number): Promise<readonly SmoothedRun[]> {
  const seed = `smoothed ${n}`;
  const random = randomOf(seed);
  const pack = drawPack(random.pick(["A", "B", "C"]), random.pick(CHEMISTRIES), seed);
  const amperes = pack.suitedLoadA;
  const load = sizeLoad(pack, { kind: random.pick(LOAD_KINDS), standardA: amperes, ratio: 1 }, random);
  const readings = { volts: pack.facts.series * pack.cell.openCircuitVolts(0), amperes };
  const by = { kind: random.pick(["mean", "lag"] as const), seconds: random.logBetween(0.05, 0.5) };
  const bench = {
    ...drawNoisyBench(readings, "rectangular", random),
    rateHz: 1 / random.logBetween(0.01, 0.5),
    rampSeconds: random.logBetween(0.01, 0.2),
    belowCutoffVolts: random.between(0, 0.03),
    belowCutoffSeconds: random.between(0, 0.5),
  };
  const judged: SmoothedRun[] = [];
  for (const smoothing of [{ current: by }, { current: by, voltage: by }]) {
    const run = carried(() => ({ pack, load, bench: { ...bench, smoothing }, seed }));
    if (!run?.truth.own) continue;
    judged.push({ evaluation: await evaluateText(run.csv, run.facts, protocol), truth: run.truth.own });
  }
  return judged;
}

// Truth is the second simulator's, without noise and without the smoothing.
describe("runs whose logger smooths the current, or both channels", () => {
  let runs: readonly SmoothedRun[] = [];
  beforeAll(async () => {
    runs = (await Promise.all(Array.from({ length: RUNS }, (_, n) => drawSmoothed(n)))).flat();
  }, 600_000);

  test("all end at the cutoff that they reached", () => {
    expect(runs.length).toBeGreaterThan(1.5 * RUNS);
    expect(runs.map(({ evaluation }) => evaluation.trace.stop)).toEqual(runs.map(() => "cutoff"));
  });

  test.each(["runtime", "capacity"])("%s: 2 u holds the truth", (key) => {
    const within = runs.filter(({ evaluation, truth }) => {
      const figure = evaluation.figures.find((one) => one.key === key);
      return figure && Math.abs(figure.value - (truth[key] as number)) <= 2 * figure.uncertainty;
    });
    expect(within.length / runs.length).toBeGreaterThanOrEqual(MIN_WITHIN);
  });
});

// The voltage shows at once when the load came on: what the current says later is no measurement of when.
describe("runs whose current alone is smoothed for longer", () => {
  let runs: readonly SmoothedRun[] = [];
  beforeAll(async () => {
    const drawn = await Promise.all(Array.from({ length: 2 * RUNS }, (_, n) => drawLagging(n)));
    runs = drawn.filter((run) => run !== null);
  }, 600_000);

  test.each(["runtime", "capacity", "energy"])("%s: 2 u holds the truth", (key) => {
    const within = runs.filter(({ evaluation, truth }) => {
      const figure = evaluation.figures.find((one) => one.key === key);
      return figure && Math.abs(figure.value - (truth[key] as number)) <= 2 * figure.uncertainty;
    });
    expect(runs.length).toBeGreaterThan(1.5 * RUNS);
    expect(within.length / runs.length).toBeGreaterThanOrEqual(MIN_WITHIN);
  });
});
