import { beforeAll, describe, expect, test } from "@jest/globals";
import { CHEMISTRIES, type Evaluation, LOAD_KINDS } from "../../src/core/model.js";
import { EXACT_BENCH, logCourse } from "../cross-checks/simulator/bench.js";
import { readersOf } from "../cross-checks/simulator/course-reader.js";
import { drawPack } from "../cross-checks/simulator/populations.js";
import { randomOf } from "../cross-checks/simulator/random.js";
import type { SimulatedLog } from "../cross-checks/simulator/simulate-log.js";
import { sizeLoad } from "../cross-checks/simulator/size-load.js";
import { evaluateText } from "../support/evaluated.js";
import { newestProtocol, withoutTranslations } from "../support/protocols.js";
import { carried } from "./fleet.js";

const RUNS = Number(process.env.MONTE_CARLO_RUNS ?? 60);
/** Of 50 runs or more fewer lie within 2 u once in a thousand times where 93 % of all do (binomial distribution). */
const MIN_WITHIN = 0.81;
const FIGURES = [
  "voltage-10s",
  "power-10s",
  "resistance-1s",
  "resistance-10s",
  "sag-10s",
  "capacity",
  "energy",
  "runtime",
];
const protocol = withoutTranslations(newestProtocol("full-load"));

interface SummedRun extends Pick<SimulatedLog, "truth"> {
  readonly evaluation: Evaluation;
  readonly cells: number;
}

/**
 * A full load on a meter that reads one cell after another, in steps of 1, 10 or 20 mV and no pack voltage. Each cell reads within half a step
 * and 3 mV, by an error that all share or by its own; cells part by some mV at rest and by some per cent of the fall under load.
 */
async function drawSummed(n: number): Promise<SummedRun | null> {
  const seed = `summed cells ${n}`;
  const random = randomOf(seed);
  const pack = drawPack(random.pick(["A", "B", "C"]), random.pick(CHEMISTRIES), seed);
  const { series } = pack.facts;
  const amperes = pack.suitedLoadA;
  const load = sizeLoad(pack, { kind: random.pick(LOAD_KINDS), standardA: amperes, ratio: 1 }, random);
  const rateHz = random.logBetween(5.2, 40);
  const current = { gain: 0, offset: 0, noise: 0.001 * amperes, step: 0.01 };
  const run = carried(() => ({ pack, load, bench: { ...EXACT_BENCH, rateHz, current }, seed }));
  if (!run?.truth.own) return null;
  const step = random.pick([0.001, 0.01, 0.02]);
  const common = random.uniform() < 0.5 ? random.between(-0.003, 0.003) : null;
  const noise = random.pick([0, 0.0005, 0.003, 0.01]);
  const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / series;
  const drawn = (width: number) => Array.from({ length: series }, () => random.between(-width, width));
  const centred = (values: readonly number[]) => values.map((value) => value - mean(values));
  const [apart, weaker] = [centred(drawn(random.pick([0, 0.004, 0.015]))), centred(drawn(0.05))];
  const errors = drawn(0.003).map((own) => common ?? own);
  const { V } = readersOf(run.course);
  const start = run.course.time[0] as number;
  const restV = V.at(start) / series;
  const { time, current: amps } = logCourse(run.course, { ...EXACT_BENCH, rateHz, current }, random);
  const rows = time.map((seconds, row) => {
    const cells = Array.from({ length: series }, (_, cell) => {
      const volts = V.at(start + seconds + (0.4 * cell) / series / rateHz) / series;
      const truth = volts + (apart[cell] as number) + (weaker[cell] as number) * (volts - restV);
      return Math.round((truth + (errors[cell] as number) + noise * random.normal()) / step) * step;
    });
    return [seconds.toFixed(4), ...cells.map((volts) => volts.toFixed(3)), (amps[row] as number).toFixed(3)].join(",");
  });
  const header = ["Time [s]", ...Array.from({ length: series }, (_, cell) => `Cell ${cell + 1} [V]`), "Current [A]"];
  const { bench } = run.facts;
  const stated = {
    ...bench,
    voltage: { percent: 0, offset: 0.003 + step / 2 },
    current: { percent: 0, offset: 0.01 },
    clockPercent: 0.001,
  };
  const csv = `${[header.join(","), ...rows].join("\n")}\n`;
  return {
    evaluation: await evaluateText(csv, { ...run.facts, bench: stated }, protocol),
    truth: run.truth,
    cells: series,
  };
}

// Truth is the second simulator's, whose packs are the sums of these cells.
describe("runs whose log has cell voltages alone", () => {
  let runs: readonly SummedRun[] = [];
  beforeAll(async () => {
    const drawn = await Promise.all(Array.from({ length: RUNS }, (_, n) => drawSummed(n)));
    runs = drawn.filter((run) => run !== null);
  }, 600_000);

  test("are read, and say that the sum was taken", () => {
    expect(runs.length).toBeGreaterThan(0.8 * RUNS);
    for (const { evaluation, cells } of runs) {
      const said = evaluation.adjustments.find(({ kind }) => kind === "voltage-from-cells");
      expect(said?.before).toBe(cells === 1 ? undefined : cells);
    }
  });

  test.each(FIGURES)("%s: 2 u holds the truth", (key) => {
    const judged = runs.flatMap(({ evaluation, truth }) => {
      const found = evaluation.figures.find((figure) => figure.key === key);
      const expected = truth.own?.[key];
      return found && expected !== undefined ? [{ error: Math.abs(found.value - expected), u: found.uncertainty }] : [];
    });
    expect(judged.length).toBeGreaterThan(0.8 * RUNS);
    expect(judged.filter(({ error, u }) => error <= 2 * u).length / judged.length).toBeGreaterThanOrEqual(MIN_WITHIN);
  });
});
