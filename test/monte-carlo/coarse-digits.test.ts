import { beforeAll, describe, expect, test } from "@jest/globals";
import { evaluate } from "../../src/core/evaluate.js";
import type { Figure } from "../../src/core/model.js";
import { EXACT_BENCH, logCourse, type SimulatedBench } from "../cross-checks/simulator/bench.js";
import { resistance } from "../cross-checks/simulator/load.js";
import { drawPack } from "../cross-checks/simulator/populations.js";
import { randomOf } from "../cross-checks/simulator/random.js";
import { simulateLog } from "../cross-checks/simulator/simulate-log.js";
import { newestProtocol, withoutTranslations } from "../support/protocols.js";

const RUNS = 30;
const STEP_V = 0.02;
const LEADS_OHM = 0.001;
/** Of 30 runs fewer lie within 2 u once in a thousand times where 93 % of all do (binomial distribution). */
const MIN_WITHIN = 0.77;

// Truth is the second simulator's, without noise: a voltmeter of 20 mV digits, whose noise does not average them, off by anything within a digit.
describe("figures from a voltmeter with coarse digits", () => {
  const pack = drawPack("A", "lipo", "coarse digits");
  const volts = pack.facts.series * 3.7;
  const bench: SimulatedBench = { ...EXACT_BENCH, rateHz: 10 };
  const load = resistance(volts / pack.suitedLoadA);
  const exact = simulateLog({ pack, load, bench, seed: "coarse digits" });

  describe.each([
    ["at the pack", { point: "pack" as const }, 0],
    ["at the leads' end", { point: "lead" as const, resistanceMilliohm: 1000 * LEADS_OHM }, LEADS_OHM],
  ])("that reads %s", (_, sense, ohm) => {
    const sensed = {
      ...exact.course,
      voltage: exact.course.voltage.map((value, i) => value - ohm * (exact.course.current[i] as number)),
    };
    let runs: (readonly Figure[])[] = [];
    beforeAll(async () => {
      runs = await Promise.all(
        Array.from({ length: RUNS }, async (_, run) => {
          const random = randomOf(`coarse digits ${run}`);
          const offset = random.between(-STEP_V / 2, STEP_V / 2);
          const stated = { ...bench.stated, voltage: { percent: 0, offset: STEP_V }, sense };
          const voltage = { gain: 0, offset, noise: STEP_V / 8, step: STEP_V };
          const current = { gain: 0, offset: 0, noise: 0.1, step: 0.01 };
          const { csv } = logCourse(sensed, { ...bench, voltage, current }, random);
          const facts = { ...exact.facts, bench: { ...stated, load: { kind: load.kind } } };
          const protocol = withoutTranslations(newestProtocol("full-load"));
          return (await evaluate([Buffer.from(csv)], facts, protocol)).evaluation.figures;
        }),
      );
    }, 300_000);

    test.each(["resistance-1s", "resistance-10s", "sag-10s", "voltage-10s", "power-10s"])(
      "%s: 2 u holds the truth",
      (key) => {
        const truth = exact.truth.own?.[key] as number;
        const found = runs.flatMap((figures) => figures.filter((figure) => figure.key === key));
        const within = found.filter(({ value, uncertainty }) => Math.abs(value - truth) <= 2 * uncertainty);
        expect(found).toHaveLength(RUNS);
        expect(within.length / RUNS).toBeGreaterThanOrEqual(MIN_WITHIN);
      },
    );
  });
});
