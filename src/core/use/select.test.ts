import { describe, expect, it } from "@jest/globals";
import { knownModel } from "../../../test/support/known-pack-model.js";
import type { ModelDirection } from "./model/pack-model.js";
import { SHAPE_KNOTS, SOURCE_KNOTS } from "./model/unknowns.js";
import { demandFor, predictUse } from "./predict.js";
import { judgeUse } from "./select.js";
import type { Use } from "./use.js";

const WHOSE = { kind: "unknown-specimen" } as const;
/** Directions as a fit gives them: the end of the source and the resistances are off, each by what is common. */
const directions: ModelDirection[] = Array.from({ length: 6 }, (_, n) => ({
  sourceVolts: SOURCE_KNOTS.map((z) => 0.004 * Math.cos(3 * n * z)),
  lnOhm: [0.01, 0.05, 0.05, -0.05, 0.05].map((value, j) => (j === n % 5 ? 2 : 1) * value),
  lnFactor: SHAPE_KNOTS.map((z) => 0.02 * Math.sin(n * z)),
  seriesSlopeK: 100,
  relaxationSlopeK: 150,
}));
const model = knownModel({
  source: (share) => 4.2 - 0.6 * share - 0.4 * share ** 12,
  seriesOhm: 0.003,
  relaxations: [{ seconds: 6, ohm: 0.0005 }],
  directions,
});
const use = (powerW: number, more: Partial<Use> = {}): Use => ({
  steps: [
    { seconds: 5, powerW },
    { seconds: 15, powerW: powerW / 2 },
  ],
  repeats: 12,
  startC: 23,
  ambientC: 23,
  cutoffVoltsPerCell: 3.3,
  reserve: 0.2,
  temperatureLimitC: 60,
  ...more,
});
const judge = (asked: Use, isWhole = false) => judgeUse(model, asked, WHOSE, demandFor(asked, model.series), isWhole);
const POWERS = Array.from({ length: 40 }, (_, n) => 420 + 30 * n);

describe("a use judged for a selection", () => {
  it.each(POWERS)("is told as a prediction tells it, at %d W", (watts) => {
    const { holds, probability, marginVoltsPerCell, peakA, limit } = predictUse(model, use(watts), WHOSE);
    const judged = judge(use(watts));
    expect(judged).toMatchObject({ holds, marginVoltsPerCell, peakA });
    expect(Math.abs((judged?.probability as number) - (probability as number))).toBeLessThan(0.0005);
    expect([judged?.limit?.reason, judged?.limit?.at.value]).toEqual([limit?.reason, limit?.at.value]);
  });

  it("takes every direction where the answer is not clear, and a few where it is", () => {
    const isWhole = POWERS.map((watts) => judge(use(watts))?.isWhole);
    expect([isWhole[0], isWhole.includes(true)]).toEqual([false, true]);
    expect(judge(use(420, { repeats: 60 }))).toMatchObject({ holds: false, isWhole: false });
    expect(judge(use(420), true)?.isWhole).toBe(true);
  });

  it("tells nothing beyond what was measured", () => {
    expect(judge(use(0, { steps: [{ seconds: 5, currentA: 250 }] }))).toBeNull();
  });
});

// Of a source U = 4 V throughout, W = U Q (1 - share): 5 Ah of 4 cells are 80 Wh, of which 100 A for 36 s draw a fifth.
it("tells the energy that is left", () => {
  const even = knownModel({ source: () => 4, seriesOhm: 1e-6 });
  const asked = use(0, { steps: [{ seconds: 36, currentA: 100 }], repeats: 1, reserve: 0 });
  const judged = judgeUse(even, asked, { kind: "mean" }, demandFor(asked, even.series), false);
  expect(judged?.shareLeft).toBeCloseTo(0.8, 9);
  expect(judged?.energyLeftWh).toBeCloseTo(64, 6);
});
