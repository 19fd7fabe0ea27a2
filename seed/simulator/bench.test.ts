import { expect, test } from "@jest/globals";
import type { BenchFacts } from "../../src/core/model.js";
import { type BenchModel, drawInstrumentErrors, leadOhm, measure } from "./bench.js";
import { simulateDischarge } from "./discharge.js";
import { createRandom } from "./random.js";

const FACTS: BenchFacts = {
  load: { kind: "constant-current" },
  voltage: { percent: 0.2, offset: 0.005 },
  current: { percent: 0.5, offset: 0.1 },
  temperature: { offset: 1 },
  sense: { point: "lead", resistanceMilliohm: 2 },
};

const QUIET: BenchModel = {
  facts: FACTS,
  rateHz: 10,
  jitterShare: 0,
  noise: { volts: 0, amperes: 0, kelvin: 0 },
  resolution: { volts: 0.001, amperes: 0.01, kelvin: 0.1 },
  errors: { voltageGain: 0, voltageOffsetV: 0, currentGain: 0, temperatureOffsetK: 0 },
};

const discharge = simulateDischarge({
  pack: {
    openCircuitVolts: () => 12.6,
    seriesOhm: 0.01,
    resistanceFallPerKelvin: 0,
    branches: [],
    heatCapacityJPerK: 300,
    heatLossWPerK: 0.2,
  },
  demand: { kind: "constant-current", level: 50, riseSeconds: 0.2 },
  ambientC: 20,
  startC: 20,
  chargeMissingC: 0,
  restSeconds: 2,
  stop: { volts: 0, delaySeconds: 0, latestSeconds: 20 },
  afterSeconds: 2,
});

test("voltage past a lead reads lower by I R, and a current sensor's zero shows at rest", () => {
  const log = measure(discharge, QUIET, { currentZeroA: 0.4, cellImbalance: [] }, createRandom(1));
  expect(log.current[2]).toBeCloseTo(0.4, 10);
  expect(log.voltage[2]).toBeCloseTo(12.6, 10);
  expect(log.current[100]).toBeCloseTo(50.4, 10);
  expect(log.voltage[100]).toBeCloseTo(12.6 - 50 * 0.012, 10);
  expect(log.cells).toBeNull();
});

test("jitter, noise and steps stay at their stated size, and time still rises", () => {
  const noisy = { ...QUIET, jitterShare: 0.4, noise: { volts: 0.005, amperes: 0.2, kelvin: 0.1 } };
  const log = measure(discharge, noisy, { currentZeroA: 0, cellImbalance: [0.001, 0, -0.001] }, createRandom(2));
  const gaps = log.timeSeconds.slice(1).map((t, i) => t - (log.timeSeconds[i] as number));
  expect(Math.min(...gaps)).toBeGreaterThan(0.02);
  expect(Math.max(...gaps)).toBeLessThan(0.18);
  const loaded = log.current.slice(40, 200);
  const spread = Math.sqrt(loaded.reduce((sum, amperes) => sum + (amperes - 50) ** 2, 0) / loaded.length);
  expect(spread).toBeGreaterThan(0.14);
  expect(spread).toBeLessThan(0.26);
  const cells = log.cells?.[100] as number[];
  expect(cells.reduce((sum, volts) => sum + volts, 0)).toBeCloseTo(log.voltage[100] as number, 1);
});

test("instrument errors stay within the stated accuracy", () => {
  const random = createRandom(3);
  for (let i = 0; i < 200; i += 1) {
    const errors = drawInstrumentErrors(FACTS, 1, random);
    expect(Math.abs(errors.voltageGain)).toBeLessThan(0.002);
    expect(Math.abs(errors.currentGain)).toBeLessThan(0.005);
    expect(Math.abs(errors.temperatureOffsetK)).toBeLessThan(1);
  }
});

test("a gauge 12 pair of leads has twice its one-way length of copper with 3.309 mm2 (ASTM B258, from memory)", () => {
  expect(leadOhm({ point: "lead", gaugeAwg: 12, lengthMm: 100 })).toBeCloseTo(0.2 / 58 / 3.309, 6);
  expect(leadOhm({ point: "pack" })).toBe(0);
});
