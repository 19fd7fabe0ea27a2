import { describe, expect, test } from "@jest/globals";
import { instants, traceOf } from "../../../test/support/traces.js";
import type { Readings } from "../figures/reading.js";
import { readTrace } from "../figures/readings.js";
import { sparseTemperature } from "./sparse-temperature.js";

const END_S = 100;
const LIMIT_C = 35;
const TIME = instants(-5, 110, 10);
/** 20 degC at rest, 0.2 to 0.22 K/s for 100 s under load. */
function heating(t: number): number {
  const loadedS = Math.max(0, Math.min(t, END_S));
  return 20 + 0.2 * loadedS + 0.0001 * loadedS * loadedS;
}

function lackOf(celsius: (t: number) => number): { reads: Readings; lacks: ReturnType<typeof sparseTemperature> } {
  const trace = traceOf(TIME, { volts: () => 15, amperes: (t) => (t >= 0 && t <= END_S ? 100 : 0), celsius });
  const startTemperatureC = celsius(-0.5);
  const reads = readTrace(trace, {
    stop: { cutoffS: END_S, endS: END_S },
    rest: { volts: 16, samples: 10 },
    startTemperatureC,
    temperatureLimitC: LIMIT_C,
    pulses: null,
    pulseShiftS: 0,
  });
  const limits = { cutoffVolts: null, series: 4, temperatureLimitC: LIMIT_C };
  return { reads, lacks: sparseTemperature({ trace, startTemperatureC, limits }, reads, END_S) };
}
const errorOf = (reads: Readings) => heating(END_S) - (reads.get("highest-temperature")?.value as number);

describe("what a temperature lacks between its readings lies within 2 u", () => {
  // The last reading under load is up to 20 s old at its end, or is yet to come in full.
  test.each([1, 4, 9, 14, 19])("repeated every 20 s, the last time %d s before the end of the load", (age) => {
    const { reads, lacks } = lackOf((t) => heating(20 * Math.floor((t + age - END_S) / 20 + 1e-9) + END_S - age));
    const u = lacks.get("highest-temperature") as number;
    expect(errorOf(reads)).toBeGreaterThan(0.1);
    expect(2 * u).toBeGreaterThanOrEqual(errorOf(reads));
    expect(u).toBeLessThan(1.5 * errorOf(reads) + 0.2);
  });

  test.each([2, 5, 8])("on lines of 10 s, the last reading %d s before the end of the load", (age) => {
    const at = (k: number) => 10 * k + END_S - age;
    const { reads, lacks } = lackOf((t) => {
      const k = Math.floor((t - END_S + age) / 10 + 1e-9);
      return heating(at(k)) + ((heating(at(k + 1)) - heating(at(k))) * (t - at(k))) / 10;
    });
    expect(errorOf(reads)).toBeGreaterThan(0.05);
    expect(2 * (lacks.get("highest-temperature") as number)).toBeGreaterThanOrEqual(errorOf(reads));
  });

  test("of the time to the limit, by how long the number before had stood", () => {
    const { reads, lacks } = lackOf((t) => heating(20 * Math.floor(t / 20 + 1e-9)));
    // 35 degC are there at 72.5 s, and are read at 80 s.
    expect(reads.get("time-to-limit")?.value).toBeCloseTo(80, 0);
    expect(lacks.get("time-to-limit")).toBeCloseTo(20 / Math.sqrt(3), 1);
  });
});

describe("nothing is lacking", () => {
  test.each([
    ["in a reading a row", heating],
    ["in digits of 0.1 K", (t: number) => Math.round(heating(t) * 10) / 10],
    ["where the temperature stays", () => 20],
  ])("%s", (_, celsius) => {
    const { lacks } = lackOf(celsius);
    expect(lacks.get("highest-temperature") ?? 0).toBeLessThan(0.06);
    expect(lacks.get("start-temperature") ?? 0).toBeLessThan(0.06);
  });
});
