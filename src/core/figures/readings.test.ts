import { describe, expect, test } from "@jest/globals";
import { instants, traceOf } from "../../../test/support/traces.js";
import type { ReadingKey } from "./reading.js";
import { peakInstant, type ReadingFrame, readTrace } from "./readings.js";

const frame = (endS: number, cutoffS: number | null = endS): ReadingFrame => ({
  stop: { cutoffS, endS },
  rest: { volts: 50.4, samples: 20 },
  startTemperatureC: 20,
  temperatureLimitC: 60,
  pulses: null,
  pulseShiftS: 0,
});

// A source of 50.4 V behind 20 mohm and one relaxation of 10 mohm and 2000 F (tau = 20 s) under 40 A for 180 s:
// V = E - I R0 - I R1 (1 - exp(-t / tau)). Closed form, derived; its values checked with a solver of differential equations.
describe("the step response of a source with one relaxation", () => {
  const [E, I, R0, R1, TAU] = [50.4, 40, 0.02, 0.01, 20];
  const volts = (t: number) => (t < 0 ? E : E - I * R0 - I * R1 * (1 - Math.exp(-t / TAU)));
  const trace = traceOf(Float64Array.of(-1, -1e-9, ...instants(0, 180, 100)), {
    volts,
    amperes: (t) => (t < 0 ? 0 : I),
  });
  const reads = readTrace(trace, frame(180));
  const read = (key: ReadingKey) => reads.get(key)?.value ?? Number.NaN;
  const meanVolts = (a: number, b: number) =>
    E - I * (R0 + R1) + (I * R1 * TAU * (Math.exp(-a / TAU) - Math.exp(-b / TAU))) / (b - a);

  // The trapezoid's own error at 100 Hz is 1e-8 V.
  test.each([
    ["voltage-1s", 0.5, 1.5],
    ["voltage-10s", 9.5, 10.5],
    ["voltage-30s", 29.5, 30.5],
    ["voltage-cutoff", 179.5, 180],
    ["voltage-peak", 0, 0.5],
  ] as const)("%s is the mean over its window", (key, from, to) =>
    expect(read(key)).toBeCloseTo(meanVolts(from, to), 7),
  );

  test("the marks are the values at their instants, but for the curve within a window", () => {
    expect(Math.abs(read("voltage-1s") - 49.58049176980029)).toBeLessThan(5e-5);
    expect(Math.abs(read("voltage-10s") - 49.44261226388505)).toBeLessThan(5e-5);
  });

  test("charge and energy are 2 Ah and 354559.96050886 J", () => {
    expect(read("charge")).toBeCloseTo(2, 10);
    expect(read("energy") * 3600).toBeCloseTo(354_559.96050886, 3);
  });

  test("resistance at 1 s and 10 s is what of both resistances has set in by then", () => {
    const resistance = (mark: "1s" | "10s") =>
      (read("rest-voltage") - read(`voltage-${mark}`)) / read(`current-${mark}`);
    expect(resistance("1s")).toBeCloseTo(R0 + R1 * (1 - Math.exp(-1 / TAU)), 5);
    expect(resistance("10s")).toBeCloseTo(R0 + R1 * (1 - Math.exp(-10 / TAU)), 5);
  });
});

describe("a mark is read", () => {
  const steady = (endS: number, cutoffS?: number | null) =>
    readTrace(traceOf(instants(0, 60, 10), { volts: () => 15, amperes: () => 100 }), frame(endS, cutoffS));

  test.each([
    ["power-peak", 5],
    ["power-1s", 1.5],
    ["power-10s", 10.5],
    ["power-30s", 30.5],
    ["power-cutoff", 0.5],
  ] as const)("%s when reading goes on to %d s, and not before", (key, endS) => {
    expect(steady(endS).get(key)?.value).toBeCloseTo(1500, 9);
    expect(steady(endS - 0.01).has(key)).toBe(false);
  });

  test("at the cutoff only when it was reached", () => expect(steady(60, null).has("power-cutoff")).toBe(false));
});

test("the peak is the largest half-second mean of the first 5 s, with voltage and current of that same window", () => {
  const near = (t: number, at: number) => Math.abs(t - at) <= 0.25 + 1e-9;
  const trace = traceOf(instants(0, 20, 100), {
    volts: (t) => (near(t, 3) ? 14 : 15),
    amperes: (t) => (near(t, 3) ? 130 : near(t, 8) ? 200 : t > 0.99 && t < 1.01 ? 900 : 100),
  });
  const reads = readTrace(trace, frame(20));
  expect(reads.get("power-peak")?.value).toBeCloseTo(14 * 130, 6);
  expect(reads.get("voltage-peak")?.value).toBeCloseTo(14, 9);
  expect(reads.get("current-peak")?.value).toBeCloseTo(130, 9);
  expect(peakInstant(trace)).toBeCloseTo(3, 2);
  expect(peakInstant(traceOf(instants(0, 4, 100), { volts: () => 15, amperes: () => 100 }))).toBeNull();
});

describe("temperatures", () => {
  const heating = (celsius: (t: number) => number, endS = 100) =>
    readTrace(traceOf(instants(0, 120, 10), { volts: () => 15, amperes: () => 100, celsius }), frame(endS));

  test("the highest is that of the hottest second under load", () => {
    const reads = heating((t) => 20 + t / 4 + (t > 49.95 && t < 50.05 ? 30 : 0));
    expect(reads.get("highest-temperature")?.value).toBeCloseTo(20 + 99.5 / 4, 9);
    expect(reads.get("start-temperature")?.value).toBe(20);
  });

  test("the time to the limit is interpolated, and absent when it was not reached under load", () => {
    expect(heating((t) => 20 + t / 2).get("time-to-limit")?.value).toBeCloseTo(80, 9);
    expect(heating((t) => 20 + t / 2, 79).has("time-to-limit")).toBe(false);
  });

  test("none are read without a channel", () => {
    const reads = readTrace(traceOf(instants(0, 60, 10), { volts: () => 15, amperes: () => 100 }), frame(60));
    expect(reads.has("highest-temperature") || reads.has("start-temperature")).toBe(false);
  });
});
