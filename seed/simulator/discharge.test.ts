import { describe, expect, test } from "@jest/globals";
import type { Demand } from "./demand.js";
import { type DischargePlan, simulateDischarge } from "./discharge.js";
import { createPackModel, type PackModel } from "./pack-model.js";

const STEADY_50_4: PackModel = {
  openCircuitVolts: () => 50.4,
  seriesOhm: 0.02,
  resistanceFallPerKelvin: 0,
  branches: [{ ohm: 0.01, farad: 2000 }],
  heatCapacityJPerK: 5000,
  heatLossWPerK: 2,
};

function run(pack: PackModel, demand: Demand, seconds: number, changes: Partial<DischargePlan> = {}) {
  return simulateDischarge({
    pack,
    demand,
    ambientC: 20,
    startC: 20,
    chargeMissingC: 0,
    restSeconds: 1,
    stop: { volts: 0, delaySeconds: 0, latestSeconds: seconds },
    afterSeconds: 21,
    stepSeconds: 0.01,
    ...changes,
  });
}

const step = (kind: Demand["kind"], level: number): Demand => ({ kind, level, riseSeconds: 0 });
const at = (channel: Float64Array, seconds: number) => channel[Math.round((seconds + 1) / 0.01)] as number;

describe("a pack with one relaxation branch", () => {
  test("follows the step response at constant current (closed form, derived)", () => {
    const { voltage } = run(STEADY_50_4, step("constant-current", 40), 180);
    expect(at(voltage, -0.5)).toBe(50.4);
    expect(at(voltage, 0)).toBeCloseTo(49.6, 10);
    expect(at(voltage, 1)).toBeCloseTo(49.58049176980029, 9);
    expect(at(voltage, 10)).toBeCloseTo(49.44261226388505, 9);
    expect(at(voltage, 60)).toBeCloseTo(49.21991482734715, 9);
    expect(at(voltage, 180)).toBeCloseTo(49.200049363921636, 9);
  });

  test("recovers after the release by the same time constant (closed form, derived)", () => {
    const { voltage, current } = run(STEADY_50_4, step("constant-current", 40), 180);
    expect(at(current, 180)).toBe(40);
    expect(at(current, 180.01)).toBe(0);
    const relaxed = 0.4 * (1 - Math.exp(-180.01 / 20));
    expect(at(voltage, 180.01)).toBeCloseTo(50.4 - relaxed, 9);
    expect(at(voltage, 200.01)).toBeCloseTo(50.4 - relaxed * Math.exp(-1), 9);
  });

  test("follows the step response at constant resistance (closed form, derived)", () => {
    const { voltage, current } = run(STEADY_50_4, step("constant-resistance", 1.26), 180);
    expect(at(voltage, 0)).toBeCloseTo(49.6125, 10);
    expect(at(current, 0)).toBeCloseTo(39.375, 10);
    expect(at(voltage, 1)).toBeCloseTo(49.59360030006456, 9);
    expect(at(voltage, 20)).toBeCloseTo(49.36828980703389, 9);
    expect(at(voltage, 180)).toBeCloseTo(49.22795121670501, 9);
  });
});

test("a current that steps from 4 A to 20 A gives the two-pulse resistance of its closed form (derived)", () => {
  const demand: Demand = { ...step("constant-current", 4), steps: [{ fromSeconds: 10, level: 20 }] };
  const { voltage, current } = run(STEADY_50_4, demand, 11.2);
  expect([at(current, 9.99), at(current, 10)]).toEqual([4, 20]);
  // R0 + R1 (I2 - I1 a) b / (I2 - I1), a = 1 - exp(-10 s / tau), b = 1 - exp(-1 s / tau), tau = R1 C1 = 20 s.
  const [a, b] = [1 - Math.exp(-0.5), 1 - Math.exp(-0.05)];
  const ohm = 0.02 + (0.01 * (20 - 4 * a) * b) / 16;
  const firstEnd = at(voltage, 10) + 16 * 0.02;
  expect((firstEnd - at(voltage, 11)) / 16).toBeCloseTo(ohm, 10);
});

test("the load is removed when the pack reaches the temperature of its stop (closed form, derived)", () => {
  const pack = { ...STEADY_50_4, seriesOhm: 0.03, branches: [] };
  const plan = { stop: { volts: 0, celsius: 24, delaySeconds: 0, latestSeconds: 3600 } };
  const { time, current } = run(pack, step("constant-current", 40), 0, plan);
  // 24 K (1 - exp(-t / 2500 s)) = 4 K
  expect(time[current.findLastIndex((amperes) => amperes > 0)]).toBeCloseTo(-2500 * Math.log(1 - 4 / 24), 1);
});

test("five hours at 0.2 It deliver what the settled pack's voltage allows (closed form, derived)", () => {
  const pack = createPackModel({
    chemistry: "lipo",
    series: 4,
    trueCapacityAh: 5,
    resistanceMilliohmAh: 6,
    massGrams: 545,
  });
  const stop = { volts: 12, delaySeconds: 0, latestSeconds: 6 * 3600 };
  const { time, current } = run(pack, step("constant-current", 1), 0, { stop, stepSeconds: 0.5 });
  // Relaxations of seconds have settled long before: 4 U(1 - q / Q) = 12 V + 1 A x 1.7 R0 exp(-0.006 (T - 25)), T = 20 + R I^2 / h.
  const warmC = 20 + (1.7 * pack.seriesOhm) / pack.heatLossWPerK;
  const fall = 1.7 * pack.seriesOhm * Math.exp(-0.006 * (warmC - 25));
  let [low, high] = [0, 5 * 3600];
  while (high - low > 1e-6) {
    const middle = (low + high) / 2;
    if (pack.openCircuitVolts(middle) > 12 + fall) low = middle;
    else high = middle;
  }
  const seconds = time[current.findLastIndex((amperes) => amperes > 0)] as number;
  expect(Math.abs(seconds / low - 1)).toBeLessThan(1e-4);
});

test("a finite store behind a resistance discharges exponentially (closed form, derived)", () => {
  const pack = { ...STEADY_50_4, openCircuitVolts: (c: number) => 50.4 - c / 5000, seriesOhm: 0.03, branches: [] };
  const { voltage } = run(pack, step("constant-resistance", 1.26), 600);
  expect(at(voltage, 600)).toBeCloseTo(44.85510571626927, 9);
});

test("lumped heat approaches I^2 R / h with the time constant m c / h (closed form, derived)", () => {
  const pack = { ...STEADY_50_4, seriesOhm: 0.03, branches: [] };
  const { temperature } = run(pack, step("constant-current", 40), 600);
  expect(at(temperature, 60) - 20).toBeCloseTo(0.56914296581, 9);
  expect(at(temperature, 180) - 20).toBeCloseTo(1.667258500531, 9);
  expect(at(temperature, 600) - 20).toBeCloseTo(5.120931334403, 9);
});

test("constant power draws that power at the terminals, and the load is removed after the delay at the stop voltage", () => {
  const pack = { ...STEADY_50_4, openCircuitVolts: (c: number) => 50.4 - c / 1000 };
  const plan = { stop: { volts: 49, delaySeconds: 0.5, latestSeconds: 600 } };
  const { time, voltage, current } = run(pack, step("constant-power", 2000), 600, plan);
  const reached = voltage.findIndex((volts) => volts <= 49);
  expect((voltage[reached] as number) * (current[reached] as number)).toBeCloseTo(2000, 9);
  const released = current.findIndex((amperes, index) => index > reached && amperes === 0);
  expect((time[released] as number) - (time[reached] as number)).toBeCloseTo(0.51, 9);
});

test("the soft rise takes its stated time from 10 % to 90 %", () => {
  const { time, current } = run(STEADY_50_4, { kind: "constant-current", level: 100, riseSeconds: 0.5 }, 5, {
    stepSeconds: 0.0005,
  });
  const first = (amperes: number) => time[current.findIndex((value) => value >= amperes)] as number;
  expect(first(90) - first(10)).toBeCloseTo(0.5, 3);
});
