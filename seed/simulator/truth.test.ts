import { describe, expect, test } from "@jest/globals";
import type { PackFacts } from "../../src/core/model.js";
import { type DischargePlan, simulateDischarge } from "./discharge.js";
import { createPackModel } from "./pack-model.js";
import { figuresOf, type TrueFigures, trueFigures } from "./truth.js";

const facts: PackFacts = {
  chemistry: "lipo",
  series: 4,
  parallel: 1,
  ratedCapacityMah: 5000,
  labelContinuousC: 60,
  labelBurstC: 120,
  massGrams: 540,
};

const steady: DischargePlan = {
  pack: {
    openCircuitVolts: () => 16.8,
    seriesOhm: 0.008,
    resistanceFallPerKelvin: 0,
    branches: [{ ohm: 0.004, farad: 5000 }],
    heatCapacityJPerK: 500,
    heatLossWPerK: 0,
  },
  demand: { kind: "constant-current", level: 100, riseSeconds: 0 },
  ambientC: 20,
  startC: 20,
  chargeMissingC: 0,
  restSeconds: 2,
  stop: { volts: 0, delaySeconds: 0, latestSeconds: 100 },
  afterSeconds: 1,
};

// The step lasts one 5 ms interval of the solution and its half lies 2.5 ms early: 0.07 mAh, 0.03 mV at most marks.
describe("at a step of constant current", () => {
  const figures = figuresOf(simulateDischarge(steady), facts);
  // V = E - I R0 - I R1 (1 - exp(-t / tau)), tau = R1 C1 = 20 s; its mean over [a, b] integrated by hand.
  const meanVolts = (a: number, b: number) =>
    16.8 - 0.8 - 0.4 + (0.4 * 20 * (Math.exp(-a / 20) - Math.exp(-b / 20))) / (b - a);

  test("marks are means of the step response (closed form, derived)", () => {
    expect(figures["voltage-10s"]).toBeCloseTo(meanVolts(9.5, 10.5), 4);
    expect(figures["power-30s"]).toBeCloseTo(100 * meanVolts(29.5, 30.5), 2);
    expect(figures["resistance-1s"]).toBeCloseTo(10 * (16.8 - meanVolts(0.5, 1.5)), 2);
    expect(figures["sag-10s"]).toBeCloseTo((16.8 - meanVolts(9.5, 10.5)) / 4, 4);
    expect(figures["power-peak"]).toBeCloseTo(100 * meanVolts(0, 0.5), 0);
  });

  test("integrals are I T and the integral of the step response; without a cutoff there is no mark at it", () => {
    expect(figures.runtime).toBeCloseTo(100, 2);
    expect(figures.capacity).toBeCloseTo((100 * 100) / 3.6, 0);
    expect(figures.energy).toBeCloseTo((100 * 100 * meanVolts(0, 100)) / 3600, 2);
    expect(figures).not.toHaveProperty("power-cutoff");
  });

  test("the temperature rises by the dissipated energy over the heat capacity (closed form, derived)", () => {
    // Loss in the branch: integral of I^2 R1 (1 - e)^2 over 99..100 s is within 1 % of I^2 R1; before, integrate it.
    const e = (t: number) => Math.exp(-t / 20);
    const joules = (t: number) => 80 * t + 40 * (t - 40 * (1 - e(t)) + 10 * (1 - e(t) ** 2));
    expect(figures["temperature-rise"]).toBeCloseTo((joules(99) + joules(100)) / 2 / 500, 2);
    expect(figures["time-to-limit"]).toBeUndefined();
  });
});

describe("a pack run to its cutoff", () => {
  const pack = createPackModel({
    chemistry: "lipo",
    series: 4,
    trueCapacityAh: 5.05,
    resistanceMilliohmAh: 6,
    massGrams: 540,
  });
  const ohm = 14.8 / 100;
  const plan: DischargePlan = {
    ...steady,
    pack,
    demand: { kind: "constant-resistance", level: ohm, riseSeconds: 0 },
    stop: { volts: 13, delaySeconds: 0.5, latestSeconds: 600 },
  };
  const truth = trueFigures(plan, facts);

  // The standard load of 100 A is 3.7 V / 100 A for each cell: 0.148 ohm for four.
  test("a run under a standard load has the figures of that load", () => {
    const standard = truth.at(100);
    expect(Object.keys(standard).sort()).toEqual(Object.keys(truth.own).sort());
    for (const [key, value] of Object.entries(truth.own)) {
      expect([key, Math.abs((standard[key] as number) / value - 1) < 1e-9]).toEqual([key, true]);
    }
  });

  test("whatever the run's own load, its rise and its end, a standard load has the same figures", () => {
    const demand = { kind: "constant-power", level: 1400, riseSeconds: 0.8 } as const;
    const other = trueFigures({ ...plan, demand, stop: { ...plan.stop, latestSeconds: 40 } }, facts);
    expect(other.own).not.toHaveProperty("power-cutoff");
    expect(other.at(100)).toEqual(truth.at(100));
  });

  test("a heavier standard load gives more power, sags more and ends sooner", () => {
    const [light, heavy] = [truth.at(80), truth.at(125)];
    const ratioOf = (key: string) => (heavy[key] as number) / (light[key] as number);
    for (const key of ["power-10s", "current-10s", "sag-10s", "temperature-rise"])
      expect(ratioOf(key)).toBeGreaterThan(1.2);
    for (const key of ["runtime", "voltage-10s", "capacity", "energy"]) expect(ratioOf(key)).toBeLessThan(1);
  });

  test("power, voltage and current agree at every mark, and the voltage ends at 13.2 V", () => {
    for (const mark of ["peak", "10s", "30s", "cutoff"]) {
      const [P, V, I] = ["power", "voltage", "current"].map((channel) => truth.own[`${channel}-${mark}`] as number);
      expect((V as number) / (I as number)).toBeCloseTo(ohm, 4);
      expect((V as number) * (I as number)).toBeCloseTo(P as number, 1);
    }
    expect(truth.own["voltage-cutoff"]).toBeGreaterThan(13.2);
    expect(truth.own["voltage-cutoff"]).toBeLessThan(13.35);
  });

  test("a halved step changes no figure by more than 0.01 %", () => {
    const rising = { ...plan, demand: { ...plan.demand, riseSeconds: 0.3 } };
    const [figures, finer] = [0.005, 0.0025].map((stepSeconds) =>
      figuresOf(simulateDischarge({ ...rising, stepSeconds }), facts),
    ) as [TrueFigures, TrueFigures];
    expect(Object.keys(figures)).toEqual(Object.keys(finer));
    for (const [key, value] of Object.entries(finer)) {
      expect([key, Math.abs((figures[key] as number) / value - 1) < 1e-4]).toEqual([key, true]);
    }
  });
});
