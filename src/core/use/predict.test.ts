import { describe, expect, it } from "@jest/globals";
import { knownModel } from "../../../test/support/known-pack-model.js";
import { demandOf, instants, lastOfUse } from "./demand.js";
import { cellOf } from "./model/cell.js";
import type { PackModel } from "./model/pack-model.js";
import { worseCells } from "./perturbed-passes.js";
import { demandFor, limitsFor, predictUse, stretchesOf } from "./predict.js";
import { simulateUse } from "./simulate-use.js";
import type { Use, UseStep } from "./use.js";
import { MAX_KAPPA } from "./validity.js";

const CELLS = 4;
const FULL_V = 4.2;
/** Fall of the source over its whole charge of 5 Ah, V of a cell. */
const FALL_V = 1;
const CHARGE_AS = 5 * 3600;
const OHM = 0.004;
const source = (share: number) => FULL_V - FALL_V * share;
const straight = knownModel({ source, seriesOhm: OHM });

function use(step: Omit<UseStep, "seconds">, seconds: number, more: Partial<Use> = {}): Use {
  return {
    steps: [{ seconds, ...step }],
    repeats: 1,
    startC: 25,
    ambientC: 25,
    cutoffVoltsPerCell: 3,
    reserve: 0,
    temperatureLimitC: 60,
    ...more,
  };
}
const mean = (model: PackModel, asked: Use) => predictUse(model, asked, { kind: "mean" });

/** An ideal source that falls in proportion to the charge drawn, behind one resistance: k = FALL_V / CHARGE_AS. */
describe("an ideal source with one resistance", () => {
  it("gives V = U - R I under constant current (Ohm's law)", () => {
    const { curve, holds } = mean(straight, use({ currentA: 50 }, 200));
    expect(holds).toBe(true);
    for (const { timeS, voltageV, chargeMah } of curve) {
      expect(voltageV).toBeCloseTo(CELLS * (source((50 * timeS) / CHARGE_AS) - OHM * 50), 6);
      expect(chargeMah).toBeCloseTo((50 * timeS) / 3.6, 6);
    }
  });

  it("ends under constant current when U - R I meets the cutoff", () => {
    const { lasts, limit } = mean(straight, use({ currentA: 50 }, 400));
    const seconds = ((FULL_V - OHM * 50 - 3) / FALL_V) * (CHARGE_AS / 50);
    expect(lasts?.value).toBeCloseTo(seconds, 3);
    expect(limit).toMatchObject({ reason: "voltage" });
  });

  it("falls exponentially under a resistance", () => {
    const cellOhm = 0.08;
    const { curve } = mean(straight, use({ resistanceOhm: CELLS * cellOhm }, 200));
    const rate = FALL_V / CHARGE_AS / (cellOhm + OHM);
    for (const { timeS, currentA } of curve) {
      const exact = (FULL_V / (cellOhm + OHM)) * Math.exp(-rate * timeS);
      expect(Math.abs(currentA / exact - 1)).toBeLessThan(2e-5);
    }
  });

  // V = (U + sqrt(U^2 - 4 R P)) / 2 and dU/dt = -k P / V. Integrated, t = [F(U0) - F(U)] / (2 k P) with
  // F(u) = u^2 / 2 + (u w - a ln(u + w)) / 2, w = sqrt(u^2 - a), a = 4 R P: the elementary integral of sqrt(u^2 - a) (any table of
  // integrals, from memory), whose inverse is Lambert's W.
  it("takes the time of the closed form under constant power", () => {
    const watts = 180;
    const { curve } = mean(straight, use({ powerW: CELLS * watts }, 300));
    const a = 4 * OHM * watts;
    const primitive = (u: number) => {
      const w = Math.sqrt(u * u - a);
      return u ** 2 / 2 + (u * w - a * Math.log(u + w)) / 2;
    };
    for (const { timeS, voltageV, currentA, powerW } of curve.slice(1)) {
      const open = voltageV / CELLS + OHM * currentA;
      const seconds = (primitive(FULL_V) - primitive(open)) / (2 * (FALL_V / CHARGE_AS) * watts);
      expect(Math.abs(seconds - timeS)).toBeLessThan(0.002 + 2e-4 * timeS);
      expect(powerW).toBeCloseTo(CELLS * watts, 6);
    }
  });

  it("cannot give more than U^2 / 4 R (maximum power transfer)", () => {
    const range = { ...straight.range, meanA: [20, 600] as const, peakA: 600 };
    const model = knownModel({ source: () => FULL_V, seriesOhm: OHM, range });
    const most = FULL_V ** 2 / (4 * OHM);
    const asked = (share: number) => mean(model, use({ powerW: CELLS * share * most }, 1, { cutoffVoltsPerCell: 1 }));
    expect(asked(0.999).limit).toBeNull();
    expect(asked(1.001)).toMatchObject({ holds: false, limit: { reason: "power", at: { value: 0 } } });
  });
});

it("relaxes by R I (1 - exp(-t / tau)) under constant current", () => {
  const model = knownModel({ source: () => FULL_V, seriesOhm: OHM, relaxations: [{ seconds: 6, ohm: 0.003 }] });
  for (const { timeS, voltageV } of mean(model, use({ currentA: 40 }, 60)).curve) {
    const fall = 40 * (OHM + 0.003 * (1 - Math.exp(-timeS / 6)));
    expect(voltageV).toBeCloseTo(CELLS * (FULL_V - fall), 6);
  }
});

it("warms by I^2 R t / C where no heat leaves, and no further than I^2 R / h in the end", () => {
  const heat = {
    coreJoulePerKelvin: 88,
    skinJoulePerKelvin: 12,
    coreToSkinWattPerKelvin: 1e6,
    skinToAirWattPerKelvin: 0,
  };
  const closed = knownModel({ source: () => FULL_V, seriesOhm: OHM, heat });
  const last = mean(closed, use({ currentA: 60 }, 100)).curve.at(-1);
  expect(last?.temperatureC).toBeCloseTo(25 + (60 ** 2 * OHM * (last?.timeS as number)) / 100, 2);
  const open = knownModel({ source: () => FULL_V, seriesOhm: OHM, heat: { ...heat, skinToAirWattPerKelvin: 2 } });
  const steady = mean(open, use({ currentA: 60 }, 250, { ambientC: 20 })).curve.at(-1);
  expect(Math.abs((steady?.temperatureC as number) - (20 + (60 ** 2 * OHM) / 2))).toBeLessThan(0.2);
});

describe("a verdict", () => {
  // By hand: 6500 As are drawn, 8125 As with the reserve. Of the 1625 As beyond the use 500 are drawn at 5 A in its repeat, and the rest at 60 A.
  it("carries on a use that begins gently until its reserve is drawn", () => {
    const steps = [
      { seconds: 100, currentA: 5 },
      { seconds: 100, currentA: 60 },
    ];
    const { holds, probability, marginVoltsPerCell, shareLeft } = mean(straight, {
      ...use({}, 1),
      steps,
      reserve: 0.2,
    });
    expect([holds, probability]).toEqual([true, expect.closeTo(1, 3)]);
    expect(marginVoltsPerCell).toBeCloseTo(FALL_V + 0.2 - 8125 / CHARGE_AS - OHM * 60, 2);
    expect(shareLeft).toBeCloseTo(1 - 6500 / CHARGE_AS, 6);
  });

  it("keeps a reserve: it names the instant from which less than that is left", () => {
    const seconds = ((FULL_V - OHM * 50 - 3) / FALL_V) * (CHARGE_AS / 50);
    const held = mean(straight, use({ currentA: 50 }, 0.75 * seconds, { reserve: 0.2 }));
    expect(held).toMatchObject({ holds: true, limit: null });
    expect(held.probability).toBeGreaterThan(0.9);
    const failed = mean(straight, use({ currentA: 50 }, 0.85 * seconds, { reserve: 0.2 }));
    expect(failed).toMatchObject({ holds: false, limit: { reason: "reserve" } });
    expect(Math.abs((failed.limit?.at.value as number) - 0.8 * seconds)).toBeLessThan(3);
    expect(failed.probability).toBeLessThan(0.1);
  });

  // By hand, U(z) = 4.2 V - z over R = 0.084 ohm: 70 s draw 0.190 of the charge, of which 0.950 are needed; 0.947 are drawn at the cutoff.
  it("does not hold a reserve that the pack has not, under a load that fades", () => {
    const asked = use({ resistanceOhm: CELLS * 0.08 }, 70, { reserve: 0.8, cutoffVoltsPerCell: 3.098 });
    const { holds, limit, probability } = mean(straight, asked);
    expect([holds, limit?.reason]).toEqual([false, "reserve"]);
    expect(probability).toBeLessThan(0.5);
    expect(mean(straight, { ...asked, cutoffVoltsPerCell: 3.08 })).toMatchObject({ holds: true, limit: null });
  });

  it.each([0, 0.2, 0.5, 0.8])("never holds a reserve of %d that was not drawn", (reserve) => {
    for (const knee of [0.1, 0.3, 0.6, 0.9]) {
      const falls = knownModel({
        source: (share) => (share < knee ? 4.2 : 2.3 - 0.2 * share),
        seriesOhm: OHM,
        range: { ...straight.range, meanA: [2, 100] },
      });
      for (const demand of [{ resistanceOhm: CELLS * 0.08 }, { powerW: CELLS * 150 }, { currentA: 50 }]) {
        for (const seconds of [20, 70, 140]) {
          const asked = use(demand, seconds, { reserve, cutoffVoltsPerCell: 2 });
          const { holds, probability, needed, marginVoltsPerCell } = mean(falls, asked);
          const written = demandFor(asked, CELLS);
          const { share, size } = simulateUse(cellOf(falls), written, limitsFor(falls, asked));
          const used = share[lastOfUse(instants(written), written)] as number;
          const isDrawn = share.subarray(0, size).some((one) => one >= used / (1 - reserve) - 1e-9);
          if (!isDrawn) expect(holds).not.toBe(true);
          if (holds === null) {
            expect([probability, marginVoltsPerCell, needed.length]).toEqual([null, null, 1]);
            expect(["reserve", "charge"]).toContain(needed[0]?.reason);
          }
        }
      }
    }
  });

  it("is unknown where the use fades so far that its reserve is not drawn, and says so", () => {
    const fading = knownModel({ source: (share) => (share < 0.2 ? 4.2 : 2.3), seriesOhm: OHM });
    const asked = use({ resistanceOhm: CELLS * 0.08 }, 70, { reserve: 0.8, cutoffVoltsPerCell: 2 });
    expect(mean(fading, asked)).toMatchObject({ answered: true, holds: null, needed: [{ reason: "reserve" }] });
  });

  it("is as likely as not where the use ends just when the pack does", () => {
    const seconds = ((FULL_V - OHM * 50 - 3) / FALL_V) * (CHARGE_AS / 50);
    expect(mean(straight, use({ currentA: 50 }, seconds)).probability).toBeCloseTo(0.5, 1);
  });

  it("ends at the temperature limit", () => {
    const heat = {
      coreJoulePerKelvin: 22,
      skinJoulePerKelvin: 3,
      coreToSkinWattPerKelvin: 1e6,
      skinToAirWattPerKelvin: 0,
    };
    const model = knownModel({ source: () => FULL_V, seriesOhm: OHM, heat });
    const { limit } = mean(model, use({ currentA: 60 }, 200, { temperatureLimitC: 55 }));
    expect(limit?.reason).toBe("temperature");
    expect(Math.abs((limit?.at.value as number) - (30 * 25) / (60 ** 2 * OHM))).toBeLessThan(2.5);
  });

  it("says nothing beyond the currents that were measured, and names the run that would let it", () => {
    const hard = mean(straight, use({ currentA: 169 }, 10));
    expect([hard.answered, hard.curve, hard.needed.map(({ reason }) => reason)]).toEqual([
      false,
      [],
      ["mean-current", "peak-current"],
    ]);
    expect(mean(straight, use({ currentA: 139 }, 10)).answered).toBe(true);
    expect(mean(straight, use({ currentA: 1.9 }, 10)).needed[0]?.reason).toBe("low-current");
    expect(mean(straight, use({ currentA: 50 }, 10, { startC: 4 })).needed[0]?.reason).toBe("start-temperature");
  });

  it("gives a lower bound past the largest charge that was measured", () => {
    const model = knownModel({ source: () => FULL_V, seriesOhm: OHM });
    const { holds, lasts, needed } = mean(model, use({ currentA: 50 }, 400));
    expect([holds, lasts?.isLowerBound, needed[0]?.reason]).toEqual([null, true, "charge"]);
    expect(Math.abs((lasts?.value as number) - (1.01 * CHARGE_AS) / 50)).toBeLessThan(2.1);
  });

  it("carries cautions, and the same numbers each time", () => {
    const asked = use({ powerW: 600 }, 100);
    const once = mean(straight, asked);
    expect(once.cautions[0]).toMatch(/no licence/);
    expect(JSON.stringify(mean(straight, asked))).toBe(JSON.stringify(once));
  });

  it("is less sure of a specimen that nobody tested than of the mean, and surer of one's own", () => {
    const asked = use({ currentA: 50 }, 400);
    const u = (whose: Parameters<typeof predictUse>[2]) =>
      predictUse(straight, asked, whose).lasts?.uncertainty as number;
    const [own, average, unknown] = [
      u({ kind: "specimen", capacity: 1, resistance: 1 }),
      u({ kind: "mean" }),
      u({ kind: "unknown-specimen" }),
    ];
    expect(own).toBeLessThan(average);
    expect(average).toBeLessThan(unknown);
  });
});

describe("an answer that the runs do not support is not given", () => {
  const cycles = { ...straight.range, cycles: [10, 60] as const };
  const aged = knownModel({ source, seriesOhm: OHM, range: cycles });
  const needed = (model: PackModel, age: number) =>
    mean(model, use({ currentA: 50 }, 10, { cycles: age })).needed.map(({ reason }) => reason);

  it("of a pack much older or younger than those that were tested", () => {
    expect(needed(aged, 90)).toEqual([]);
    expect(needed(aged, 91)).toEqual(["age"]);
    expect(mean(aged, use({ currentA: 50 }, 10, { cycles: 100_000 }))).toMatchObject({ answered: false, holds: null });
    const old = knownModel({ source, seriesOhm: OHM, range: { ...cycles, cycles: [200, 240] } });
    expect([needed(old, 169), needed(old, 170)]).toEqual([["age"], []]);
  });

  it("of a pack whose runs contradict each other", () => {
    const agreeing = (kappa: number) => {
      const summary = { runs: 6, voltagePercentRms: 0.5, timePercentRms: 2, temperatureRms: 1, kappa };
      return knownModel({ source, seriesOhm: OHM, validation: summary });
    };
    const asked = use({ currentA: 50 }, 60);
    expect(mean(agreeing(MAX_KAPPA), asked).answered).toBe(true);
    expect(mean(agreeing(50), asked)).toMatchObject({ answered: false, needed: [{ reason: "agreement" }] });
  });

  it("of an age when nobody said how old the tested packs were", () => {
    expect(needed(straight, 0)).toEqual(["age"]);
  });
});

it.each([1, MAX_KAPPA, 50])(
  "follows cells of a capacity and a resistance above zero, %d uncertainties off",
  (kappa) => {
    for (const { chargeAs, seriesOhm } of worseCells(cellOf(straight), { capacity: 0.05, resistance: 0.2 }, kappa)) {
      expect(chargeAs).toBeGreaterThan(0);
      expect(seriesOhm).toBeGreaterThan(0);
    }
  },
);

describe("uncertainty", () => {
  const curveOf = (model: PackModel, asked: Use) => predictUse(model, asked, { kind: "unknown-specimen" }).curve;

  // dV = FALL_V z u(Q) / Q by the source, and I R u(R) / R (JCGM 100, 5.1.2), u of the voltage itself 0.15 %.
  it("of a voltage grows until the last charge that was measured, past which a worse pack was not followed", () => {
    const [capacity, resistance] = [Math.hypot(0.009, 0.015), Math.hypot(0.03, 0.05)];
    const points = curveOf(straight, use({ currentA: 50 }, 362, { cutoffVoltsPerCell: 2.5 }));
    expect(points.at(-1)?.timeS).toBeGreaterThan(355);
    for (const { timeS, voltageV, voltageUncertainty } of points) {
      const share = (50 * timeS) / CHARGE_AS;
      const stated = Math.hypot(0.0015 * voltageV, CELLS * FALL_V * share * capacity, CELLS * OHM * 50 * resistance);
      expect(Math.abs(voltageUncertainty / stated - 1)).toBeLessThan(0.03);
    }
  });

  it("grows with the distance to the ages and temperatures that were tested", () => {
    const slope = (uncertainty: number) => ({ value: 0, uncertainty });
    const model = knownModel({
      source,
      seriesOhm: OHM,
      range: { ...straight.range, cycles: [0, 100] },
      covariates: {
        referenceCycles: 50,
        lnCapacityPer100Cycles: slope(0.04),
        lnResistancePer100Cycles: slope(0.1),
        lnCapacityPer10K: slope(0.02),
      },
    });
    const u = (more: Partial<Use>) => {
      const { lasts } = mean(model, use({ currentA: 50 }, 400, more));
      return (lasts?.uncertainty as number) / (lasts?.value as number);
    };
    const near = u({ cycles: 50, startC: 23 });
    expect(u({ cycles: 150, startC: 23 })).toBeCloseTo(Math.hypot(near, 0.04, ohmicShare(0.1)), 2);
    expect(u({ cycles: 50, startC: 13 })).toBeCloseTo(Math.hypot(near, 0.02), 2);
  });

  /** What a relative change of the resistance does to the time until U - R I meets 3 V. */
  const ohmicShare = (change: number) => (change * OHM * 50) / (FULL_V - OHM * 50 - 3);
});

it("answers a use of more stretches than a call has arguments", () => {
  const model = knownModel({ source, seriesOhm: OHM, range: { ...straight.range, meanA: [2, 100] } });
  const steps = [{ seconds: 2.2, currentA: 2 }, ...Array.from({ length: 39 }, () => ({ seconds: 2.2, currentA: 0 }))];
  expect(mean(model, { ...use({ currentA: 0 }, 1), steps, repeats: 600 }).holds).toBe(true);
});

describe("knows before it follows a use into how many stretches that is cut", () => {
  const cases = [
    [1, 0],
    [1, 0.2],
    [7, 0.2],
    [40, 0.8],
  ] as const;
  const steps = [
    { seconds: 7.3, currentA: 50 },
    { seconds: 200, currentA: 9 },
    { seconds: 30, powerW: 0 },
  ];
  const counted = (one: Use) => [stretchesOf(one), demandFor(one, CELLS).seconds.length] as const;

  it.each(cases)("exactly where all steps ask for the same, %d times with %d in reserve", (repeats, reserve) => {
    const [told, written] = counted({ ...use({}, 1), steps, repeats, reserve });
    expect(told).toBe(written);
  });

  it.each(cases)("else up to a round of its steps more, %d times with %d in reserve", (repeats, reserve) => {
    const mixed = [...steps, { seconds: 60, powerW: 400 }];
    const [told, written] = counted({ ...use({}, 1), steps: mixed, repeats, reserve });
    const round = demandOf({ steps: mixed, repeats: 1 }, CELLS, 1).seconds.length;
    expect(told).toBeGreaterThanOrEqual(written);
    expect(told).toBeLessThanOrEqual(written + round);
  });
});

// docs/use.md: for each e-fold beyond the hardest run 1 % of the voltage and 3 % of the time are added, as squares.
it("is less sure of a use that draws more than the hardest run did, by how much more", () => {
  const upTo = (amperes: number) =>
    mean({ ...straight, range: { ...straight.range, meanA: [10, amperes] } }, use({ currentA: 60 }, 300));
  const [within, beyond] = [upTo(60), upTo(50)];
  const [time, more] = [within.lasts, beyond.lasts].map((lasts) => (lasts?.uncertainty ?? 0) / (lasts?.value ?? 1));
  expect((more as number) ** 2 - (time as number) ** 2).toBeCloseTo((0.03 * Math.log(60 / 50)) ** 2, 9);
  const [volts, wider] = [within.curve[9], beyond.curve[9]];
  const added = (wider?.voltageUncertainty as number) ** 2 - (volts?.voltageUncertainty as number) ** 2;
  expect(added).toBeCloseTo((0.01 * Math.log(60 / 50) * (volts?.voltageV as number)) ** 2, 9);
  expect(upTo(100)).toEqual(within);
});
