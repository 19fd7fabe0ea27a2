import { describe, expect, test } from "@jest/globals";
import { simulateDischarge as simulateWithOther } from "../../../seed/simulator/discharge.js";
import { courseOf } from "../exponential-source.js";
import { readersOf } from "./course-reader.js";
import { type DischargePlan, simulateDischarge } from "./discharge.js";
import { constantCurrent, constantPower, type LoadLaw, resistance } from "./load.js";
import type { SimulatedPack } from "./pack.js";
import { plainPack } from "./plain-pack.js";
import { drawPack, POPULATIONS } from "./populations.js";
import { trueFigures } from "./true-figures.js";

const plan = (pack: SimulatedPack, load: LoadLaw, more: Partial<DischargePlan> = {}): DischargePlan => ({
  pack,
  load,
  startC: 25,
  ambientC: 25,
  restSeconds: 1,
  rampSeconds: 0,
  stop: { volts: 0, holdSeconds: 1, latestSeconds: 60 },
  afterSeconds: 5,
  ...more,
});

describe("against closed forms", () => {
  // V = E - I R0 - I R1 (1 - exp(-t / tau)), and its decay after the load (derived).
  test("a relaxation under a constant current rises and decays as an exponential", () => {
    const [ohm, seconds, amperes] = [0.0015, 7, 80];
    const course = simulateDischarge(plan(plainPack({ relaxations: [{ ohm, seconds }] }), constantCurrent(amperes)));
    const { V } = readersOf(course);
    for (const t of [0.01, 0.5, 5, 20, 50]) {
      const expected = 4 * (3.7 - 0.002 * amperes - ohm * amperes * -Math.expm1(-t / seconds));
      expect(V.at(t)).toBeCloseTo(expected, 6);
    }
    const left = 4 * (3.7 - ohm * amperes * -Math.expm1(-60 / seconds) * Math.exp(-3 / seconds));
    expect(V.at(63)).toBeCloseTo(left, 6);
  });

  test.each([
    ["constant resistance", resistance(0.15), { kind: "constant-resistance", ohm: 0.15 }],
    ["constant power", constantPower(1200), { kind: "constant-power", watts: 1200 }],
  ] as const)("an exponential source under %s gives the voltage of its closed form or integral", (_, load, same) => {
    const source = { U0: 12, a: 4.8, q0: 15_000, ohm: 0.008 };
    const openCircuitVolts = (u: number) => 3 + 1.2 * Math.exp((-18_000 * u) / 15_000);
    const { V } = readersOf(simulateDischarge(plan(plainPack({ openCircuitVolts }), load)));
    const expected = courseOf(source, same);
    for (const t of [0.02, 1, 11, 30, 59]) expect(V.at(t)).toBeCloseTo(expected.volts(t), 4);
  });

  test("charge transfer takes volts x asinh(I / 2 i0)", () => {
    const pack = plainPack({ transfer: { volts: 0.05, amperes: 30 } });
    const { V } = readersOf(simulateDischarge(plan(pack, constantCurrent(90))));
    expect(V.at(10) / 4).toBeCloseTo(3.7 - 0.002 * 90 - 0.05 * warmedBy10s(90) * Math.asinh(1.5), 4);
  });

  test("all heat stays in a pack without losses, in its core and its surface", () => {
    const surface = { joulePerKelvin: 100, wattPerKelvinFromCore: 5 };
    const heat = { coreJoulePerKelvin: 400, surface, wattPerKelvinToAir: 0 };
    const course = simulateDischarge(plan(plainPack({ heat }), constantCurrent(100), { afterSeconds: 600 }));
    // I^2 R t = 100^2 x 0.002 x 60 J in 500 J/K.
    expect(course.temperature.at(-1)).toBeCloseTo(25 + 1200 / 500, 2);
  });
});

/** The absolute temperature over 298.15 K after 10 s of warming by a cell's own losses in 500 J/K, to first order. */
function warmedBy10s(amperes: number): number {
  const watts = amperes * (0.002 * amperes + 0.05 * Math.asinh(amperes / 60));
  return 1 + (10 * watts) / 500 / 298.15;
}

test("two simulators written apart give the same voltage for a pack that both can describe", () => {
  const openCircuitVolts = (u: number) => 4.15 - 0.5 * u - 0.4 * Math.exp(-(1 - u) / 0.05);
  const relaxations = [
    { ohm: 0.0008, seconds: 2 },
    { ohm: 0.001, seconds: 40 },
  ];
  const volts = 4 * 3.3;
  const pack = plainPack({ openCircuitVolts, relaxations });
  const mine = simulateDischarge(
    plan(pack, resistance(0.14), { stop: { volts, holdSeconds: 0, latestSeconds: 3600 } }),
  );
  const other = simulateWithOther({
    pack: {
      openCircuitVolts: (coulomb) => 4 * openCircuitVolts(coulomb / 18_000),
      seriesOhm: 0.008,
      resistanceFallPerKelvin: 0,
      branches: relaxations.map(({ ohm, seconds }) => ({ ohm: 4 * ohm, farad: seconds / (4 * ohm) })),
      heatCapacityJPerK: 500,
      heatLossWPerK: 1,
    },
    demand: { kind: "constant-resistance", level: 0.14, riseSeconds: 0 },
    ambientC: 25,
    startC: 25,
    chargeMissingC: 0,
    restSeconds: 1,
    stop: { volts, delaySeconds: 0, latestSeconds: 3600 },
    afterSeconds: 1,
    stepSeconds: 0.01,
  });
  const { V } = readersOf(mine);
  for (const t of [1, 10, 60, 120]) {
    const k = other.time.findIndex((instant) => instant >= t - 1e-9);
    expect(V.at(other.time[k] as number)).toBeCloseTo(other.voltage[k] as number, 4);
  }
  expect(mine.offSeconds).toBeCloseTo(other.time[other.current.findLastIndex((amperes) => amperes > 1)] as number, 0);
});

test.each(POPULATIONS)("a quarter of the step changes no figure of population %s by 0.02 %%", (population) => {
  const pack = drawPack(population, "liion", "steps");
  const cutoff = pack.facts.series * 3;
  const load = constantPower(pack.suitedLoadA * pack.facts.series * 3.5);
  const figures = [1, 0.25].map((stepScale) => {
    const stop = { volts: cutoff, holdSeconds: 0.5, latestSeconds: 7200 };
    return trueFigures(simulateDischarge(plan(pack, load, { rampSeconds: 0.1, stop, stepScale })), pack.facts, cutoff);
  });
  const [coarse, fine] = figures;
  expect(fine).not.toBeNull();
  for (const [key, value] of Object.entries(fine ?? {})) {
    // Under constant power any window is the peak.
    if (key === "voltage-peak" || key === "current-peak") continue;
    expect([key, Math.abs((coarse?.[key] as number) / value - 1) < 2e-4]).toEqual([key, true]);
  }
});
