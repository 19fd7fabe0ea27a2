import { describe, expect, it } from "@jest/globals";
import { randomOf } from "../../../test/cross-checks/simulator/random.js";
import { knownModel } from "../../../test/support/known-pack-model.js";
import { normalProbability } from "../statistics/normal-probability.js";
import { demandOf } from "./demand.js";
import { cellOf, scaledCell } from "./model/cell.js";
import { scaleUncertainty } from "./perturbed-passes.js";
import { demandFor, predictUse } from "./predict.js";
import { judgeUse } from "./select.js";
import { simulateUse } from "./simulate-use.js";
import type { Use, UseStep } from "./use.js";

const WHOSE = { kind: "unknown-specimen" } as const;
const CUTOFF_V = 3.3;
/** A pack as cells are: a knee at the end, two relaxations, resistances that fall with warmth. */
const pack = knownModel({
  source: (share) => 4.18 - 0.55 * share - 0.5 * share ** 14,
  seriesOhm: 0.003,
  relaxations: [
    { seconds: 6, ohm: 0.0008 },
    { seconds: 150, ohm: 0.001 },
  ],
  heat: { coreJoulePerKelvin: 120, skinJoulePerKelvin: 16, coreToSkinWattPerKelvin: 1, skinToAirWattPerKelvin: 0.1 },
  range: { meanA: [5, 100], peakA: 120, chargeShare: 1, startC: [20, 26], maxC: 200, cycles: null },
});

type Asked = Partial<Use> & { readonly steps: readonly UseStep[] };
const whole = (asked: Asked): Use => ({
  repeats: 1,
  startC: 25,
  ambientC: 25,
  cutoffVoltsPerCell: CUTOFF_V,
  reserve: 0.2,
  temperatureLimitC: 200,
  ...asked,
});
const tell = (asked: Asked, model = pack) => predictUse(model, whole(asked), WHOSE);
const likely = (asked: Asked): number => {
  const { probability, needed } = tell(asked);
  if (probability === null) throw new Error(`nothing is told: ${JSON.stringify(needed)}`);
  return probability;
};
const at = (seconds: number, currentA: number): UseStep => ({ seconds, currentA });

/** Amperes, and watts that come to about as much. */
const KINDS = {
  amperes: (seconds: number, amps: number): UseStep => ({ seconds, currentA: amps }),
  watts: (seconds: number, amps: number): UseStep => ({ seconds, powerW: amps * 4 * 3.6 }),
  ohms: (seconds: number, amps: number): UseStep =>
    amps === 0 ? { seconds, currentA: 0 } : { seconds, resistanceOhm: (4 * 3.6) / amps },
} as const;
const EACH = (Object.keys(KINDS) as (keyof typeof KINDS)[]).flatMap((kind) =>
  [0, 0.2, 0.5].map((reserve) => [kind, reserve] as const),
);
/** How far rounding, and stretches that are cut elsewhere, may carry a probability. */
const SLACK = 1e-6;

describe.each(EACH)("the probability of holding a use in %s with %d in reserve", (kind, reserve) => {
  const load = KINDS[kind];
  /** The seconds of 60 A at which it is as likely as not: found by halving. */
  const limit = (() => {
    let [low, high] = [1, 400];
    while (high - low > 1e-4) {
      const middle = (low + high) / 2;
      if (tell({ steps: [load(middle, 60)], reserve }).holds) low = middle;
      else high = middle;
    }
    return low;
  })();
  const of = (steps: readonly UseStep[], repeats = 1) => likely({ steps, repeats, reserve });

  it("is one half at the limit, near 1 far within it and near 0 far beyond", () => {
    expect(Math.abs(of([load(limit, 60)]) - 0.5)).toBeLessThan(0.02);
    for (const share of [0.8, 0.5, 0.1, 0.01, 0.001]) expect(of([load(share * limit, 60)])).toBeGreaterThan(0.999);
    for (const share of [1.2, 1.5, 3]) expect(of([load(share * limit, 60)])).toBeLessThan(0.001);
  });

  it("is more than one half exactly where the pack is said to hold it", () => {
    for (let share = 0.9; share < 1.1; share += 0.013) {
      const { holds, probability, marginVoltsPerCell } = tell({ steps: [load(share * limit, 60)], reserve });
      expect([holds, (probability as number) > 0.5]).toEqual([share < 1, share < 1]);
      if (marginVoltsPerCell !== null) expect(marginVoltsPerCell >= 0).toBe(share < 1);
    }
  });

  it.each([0.05, 0.5, 1, 2, 5])("is near 1 of %d s, with any rest after it", (seconds) => {
    for (const rest of [0.05, 1, 60, 3600]) expect(of([load(seconds, 90), load(rest, 0)])).toBeGreaterThan(0.999);
    expect(of([load(seconds, 90)])).toBeGreaterThan(0.999);
  });

  it("is no more of a longer use or a heavier load", () => {
    let before = 1;
    for (let share = 0.85; share < 1.15; share += 0.005) {
      const now = of([load(share * limit, 60)]);
      expect(now).toBeLessThanOrEqual(before + SLACK);
      before = now;
    }
    before = 1;
    for (let amps = 50; amps < 70; amps += 0.5) {
      const now = of([load(limit, amps)]);
      expect(now).toBeLessThanOrEqual(before + SLACK);
      before = now;
    }
    expect(before).toBeLessThan(0.1);
  });

  it("is no more with a load appended, be it hard or gentle", () => {
    for (const share of [0.1, 0.9, 0.96, 1, 1.04]) {
      const begun = [load(share * limit, 60)];
      const alone = of(begun);
      for (const next of [load(0.05, 6), load(10, 60), load(60, 6), load(3, 90)]) {
        for (const rest of [0, 30, 600]) {
          const more = rest > 0 ? [...begun, load(rest, 0), next] : [...begun, next];
          expect(of(more)).toBeLessThanOrEqual(alone + SLACK);
        }
      }
    }
  });

  it.each([0.05, 20, 600, 3600])("is the same with %d s of rest appended", (seconds) => {
    for (const share of [0.1, 0.94, 1, 1.03]) {
      const begun = [load(share * limit, 60)];
      const rested = tell({ steps: [...begun, load(seconds, 0)], reserve });
      const alone = tell({ steps: begun, reserve });
      expect(Math.abs((rested.probability as number) - (alone.probability as number))).toBeLessThan(SLACK);
      expect(rested.holds).toBe(alone.holds);
    }
  });

  it("is the same where a step is cut in two, and where steps are written as repeats", () => {
    for (const share of [0.01, 0.95, 1, 1.03]) {
      const seconds = share * limit;
      const once = of([load(seconds, 60)]);
      for (const part of [0.1, 0.5, 0.97]) {
        expect(Math.abs(of([load(part * seconds, 60), load((1 - part) * seconds, 60)]) - once)).toBeLessThan(0.02);
      }
      expect(Math.abs(of([load(seconds / 8, 60)], 8) - once)).toBeLessThan(0.02);
    }
    const lap = [load(5, 90), load(15, 10)];
    for (const laps of [1, 12, 20, 26]) expect(of(Array(laps).fill(lap).flat())).toBeCloseTo(of(lap, laps), 6);
  });

  it("falls from lap to lap, rests within them or not", () => {
    for (const between of [0, 10]) {
      const chances = Array.from({ length: 44 }, (_, n) => of([load(5, 90), load(15, between)], n + 1));
      for (const [n, chance] of chances.entries()) expect(chance).toBeLessThanOrEqual((chances[n - 1] ?? 1) + SLACK);
      expect(chances[0]).toBeGreaterThan(0.999);
      expect(chances.at(-1)).toBeLessThan(0.001);
    }
  });

  it("is told of a selection as of a prediction", () => {
    for (const steps of [[load(1, 90)], [load(20, 60), load(3600, 0)], [load(limit, 60)], [load(1.1 * limit, 60)]]) {
      const use = whole({ steps, reserve });
      const judged = judgeUse(pack, use, WHOSE, demandFor(use, pack.series), false);
      const { holds, probability } = predictUse(pack, use, WHOSE);
      expect(judged?.holds).toBe(holds);
      expect(Math.abs((judged?.probability as number) - (probability as number))).toBeLessThan(0.0005);
    }
  });
});

// V = U(z) - R I, U falling evenly by 1 V: of what stands against the margin, capacity moves z and resistance V (JCGM 100, 5.1.2), and both
// are normal. What the model leaves out is 0.15 % of V and 0.6 % of z (docs/use.md).
it.each([0.6, 0.7, 0.72, 0.73, 0.735, 0.74, 0.76])(
  "is the normal probability of a margin that falls evenly, %d of the charge drawn",
  (share) => {
    const even = knownModel({ source: (z) => 4.2 - z, seriesOhm: 0.004 });
    const wanted = 4.2 - 0.8 - 0.004 * 50 - 3 + (0.8 - share / 0.9);
    const capacity = Math.hypot(0.009, 0.015, 0.006);
    const resistance = Math.hypot(0.03, 0.05);
    const volts = 3 + wanted;
    const spread = Math.hypot((share / 0.9) * capacity, 0.2 * resistance, 0.0015 * volts);
    const told = tell({ steps: [at((share * 18_000) / 50, 50)], reserve: 0.1, cutoffVoltsPerCell: 3.19 }, even);
    const exact = normalProbability((volts - 3.19) / spread);
    expect(Math.abs((told.probability as number) - exact)).toBeLessThan(0.01);
  },
);

// Packs drawn from the uncertainties that a prediction states, each followed through the use with its charge lessened by the reserve.
// Of watts a pack with less charge draws more of it, so these are without a reserve.
describe("is the share of packs drawn by chance that hold the use", () => {
  it.each<[string, number, UseStep[], number]>([
    ["a steady load", 0, [at(265, 60)], 1],
    ["a steady load", 0.2, [at(265, 60)], 1],
    ["laps with rest", 0, [at(5, 90), at(10, 20), at(5, 0)], 24],
    ["laps with rest", 0.2, [at(5, 90), at(10, 20), at(5, 0)], 24],
    ["watts", 0, [{ seconds: 280, powerW: 840 }], 1],
    ["a hard load before a gentle one", 0, [at(180, 70), at(300, 10)], 1],
    ["a hard load before a gentle one", 0.2, [at(180, 70), at(300, 10)], 1],
  ])("%s, %d in reserve", (_, reserve, steps, repeats) => {
    const random = randomOf(`packs ${steps.length} ${repeats}`);
    const scales = scaleUncertainty(pack, WHOSE);
    const cell = cellOf(pack);
    const drawn = Array.from({ length: 400 }, () => Array.from({ length: 4 }, () => random.normal()));
    const shares: number[] = [];
    for (let share = 0.84; share < 1.16; share += 0.02) {
      const stretched = steps.map((step) => ({ ...step, seconds: step.seconds * share * (1 - reserve) }));
      const use = whole({ steps: stretched, repeats, reserve });
      // The last instant of each step is a stretch of its own.
      const cut = stretched.flatMap((step) => [
        { ...step, seconds: step.seconds - 0.05 },
        { ...step, seconds: 0.05 },
      ]);
      const demand = demandOf({ steps: cut, repeats }, pack.series, 1);
      const limits = { startC: 25, ambientC: 25, endVolts: 0, endShare: 10 };
      const held = drawn.filter(([byCharge = 0, byOhm = 0, byTime = 0, byVolts = 0]) => {
        const capacity = Math.exp(scales.capacity * byCharge + 0.006 * byTime) * (1 - reserve);
        const pass = simulateUse(scaledCell(cell, capacity, Math.exp(scales.resistance * byOhm)), demand, limits);
        return pass.end === "demand" && pass.voltage.every((volts) => volts * (1 + 0.0015 * byVolts) >= CUTOFF_V);
      });
      shares.push(held.length / drawn.length);
      expect(Math.abs((shares.at(-1) as number) - likely(use))).toBeLessThan(0.07);
    }
    expect([(shares[0] as number) > 0.9, (shares.at(-1) as number) < 0.1]).toEqual([true, true]);
  });
});

it.each([0, 0.2])(
  "is no surer where a mean beyond the hardest run is lowered by rest or a gentle load, %d in reserve",
  (reserve) => {
    for (const seconds of [100, 104, 108, 112, 116, 120, 124, 128, 132, 136]) {
      const hard = at(seconds * (1 - reserve), 110);
      const alone = likely({ steps: [hard], reserve });
      expect(likely({ steps: [hard, at(3600, 0)], reserve })).toBeCloseTo(alone, 9);
      expect(likely({ steps: [hard, at(600, 0.5), at(1, 6)], reserve })).toBeLessThanOrEqual(alone + SLACK);
    }
  },
);

it("counts how surely the skin stays cool wherever that is least sure, not at the end", () => {
  const hot = { steps: [at(150, 70)], reserve: 0 };
  const { curve } = tell(hot);
  const limit = Math.max(...curve.map(({ temperatureC }) => temperatureC as number)) + 0.7;
  const warm = (steps: readonly UseStep[]) => likely({ ...hot, steps, temperatureLimitC: limit });
  const alone = warm(hot.steps);
  expect(alone).toBeLessThan(0.95);
  // The core warms the skin a while after the load.
  expect(warm([...hot.steps, at(3600, 0)])).toBeLessThanOrEqual(alone);
});
