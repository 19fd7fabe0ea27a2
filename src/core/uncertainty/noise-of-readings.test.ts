import { describe, expect, test } from "@jest/globals";
import { createRandom } from "../../../seed/simulator/random.js";
import { instants, traceOf } from "../../../test/support/traces.js";
import type { ReadingKey } from "../figures/reading.js";
import { readTrace } from "../figures/readings.js";
import { firstReach } from "../trace/series.js";
import { noiseOf } from "./noise.js";
import { noiseOfReadings } from "./noise-of-readings.js";

const RATE_HZ = 100;

function noisy(
  amperes: (t: number) => number,
  { noiseV = 0, celsius }: { noiseV?: number; celsius?: (t: number) => number } = {},
) {
  const random = createRandom(3);
  const volts = (t: number) => 15 - t / 10 + noiseV * random.gaussian();
  const trace = traceOf(instants(0, 60, RATE_HZ), { volts, amperes, ...(celsius ? { celsius } : {}) });
  const stop = { cutoffS: 60, endS: 60 };
  const rest = { volts: 16.8, samples: 25 };
  const frame = { stop, rest, startTemperatureC: 20, temperatureLimitC: 60, pulses: null, pulseShiftS: 0 };
  const noise = noiseOf(trace, 60, RATE_HZ, null);
  return (settled: readonly ReadingKey[] = []) => noiseOfReadings(readTrace(trace, frame), trace, noise, settled);
}

describe("windows that could as well have been the peak", () => {
  test("are all of the first 5 s under constant power: two of them differ by up to 0.45 V, root mean square 0.45 / sqrt 6", () => {
    const reads = noisy((t) => 1500 / (15 - t / 10))();
    expect(reads.get("voltage-peak")).toBeCloseTo(0.45 / Math.sqrt(6), 3);
  });
  test("are only those near it under a falling power", () => {
    expect(noisy(() => 100)().get("voltage-peak")).toBeLessThan(0.01);
  });
  test("are more where there is more noise", () => {
    const [little, much] = [0.002, 0.05].map((noiseV) => noisy(() => 100, { noiseV })().get("voltage-peak") as number);
    expect(much).toBeGreaterThan(5 * (little as number));
  });
});

describe("the largest of many means", () => {
  const noiseV = 0.05;
  const random = createRandom(8);
  const mean = (noiseV * 100) / Math.sqrt(0.5 * RATE_HZ);
  test("is less certain than one of them where all are alike", () => {
    const amperes = (t: number) => 1500 / (15 - t / 10);
    expect(noisy(amperes, { noiseV })().get("power-peak")).toBeGreaterThan(1.5 * mean);
  });
  test("is as certain as one where it stands alone", () => {
    const amperes = (t: number) => (t < 0.7 ? 100 : 50);
    expect(noisy(amperes, { noiseV })().get("power-peak")).toBeLessThan(1.2 * mean);
  });
  test("of a temperature, too", () => {
    const noise = () => 0.2 * random.gaussian();
    const flat = noisy(() => 100, { celsius: () => 40 + noise() })().get("highest-temperature") as number;
    const rising = noisy(() => 100, { celsius: (t) => 20 + t / 2 + noise() })().get("highest-temperature") as number;
    expect(flat).toBeGreaterThan(1.8 * rising);
  });
});

// Truth is the line's: the level of 60 degC is reached at 50 s. The first of many noisy readings to reach it comes sooner.
describe("an instant at which a slope of 0.5 K/s with 0.2 K of noise first reaches a level", () => {
  const random = createRandom(4);
  const celsius = (t: number) => 35 + t / 2 + 0.2 * random.gaussian();
  const errors = Array.from({ length: 60 }, () => {
    const time = instants(40, 60, RATE_HZ);
    return (firstReach(time, time.map(celsius), 60, "up", 40, 60) as number) - 50;
  });
  const u = noisy(() => 100, { celsius })().get("time-to-limit") as number;

  test("lies within 2 u of the one that the slope has", () => {
    expect(errors.filter((error) => Math.abs(error) <= 2 * u).length).toBeGreaterThanOrEqual(0.95 * errors.length);
  });
  test("and is no less certain than that", () => {
    expect(u).toBeLessThan(2 * Math.sqrt(errors.reduce((sum, error) => sum + error * error, 0) / errors.length));
  });
});

test("what is settled by the cutoff's instant has no noise of its own", () => {
  const reads = noisy(() => 100, { noiseV: 0.01 });
  expect(reads().has("voltage-cutoff")).toBe(true);
  expect(reads(["voltage-cutoff"]).has("voltage-cutoff")).toBe(false);
});
