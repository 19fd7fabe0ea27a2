import { describe, expect, test } from "@jest/globals";
import { instants } from "../../../test/support/traces.js";
import { findOnset, type Onset, restWindow } from "./onset.js";

// docs/definitions.md, 7 to 11.
const ramp = (fromS: number, toS: number, amperes: number) => (t: number) =>
  Math.min(Math.max((t - fromS) / (toS - fromS), 0), 1) * amperes;

function onsetOf(time: Float64Array, amperes: (t: number) => number): Onset {
  const onset = findOnset(time, time.map(amperes));
  if (!onset) throw new Error("no load was found");
  return onset;
}

describe("a load that rises from 0 to 60 A between 2 s and 3 s", () => {
  const time = instants(0, 20, 10);
  const onset = onsetOf(time, ramp(2, 3, 60));

  test("has the load current 60 A", () => expect(onset.loadCurrentA).toBe(60));
  test("begins where it crosses half of that", () => expect(onset.instant).toBeCloseTo(2.5, 12));
  test("rises from 10 % to 90 % in 0.8 s", () => {
    expect(onset.riseFrom).toBeCloseTo(2.1, 12);
    expect(onset.riseSeconds).toBeCloseTo(0.8, 12);
  });
  test("is preceded by the rest's last second before 10 %", () => {
    const window = restWindow(time, onset);
    expect([time[window?.from ?? 0], time[(window?.to ?? 1) - 1]]).toEqual([1.1, 2]);
  });
});

test("the crossing is interpolated between samples far apart", () => {
  expect(onsetOf(instants(0, 20, 1), (t) => (t <= 2 ? 0 : 40)).instant).toBe(2.5);
});

test("the crossing is that of half the load current, also where the rise has a bend", () => {
  const time = Float64Array.of(0, 1, 2, ...instants(2.1, 20, 10));
  const onset = onsetOf(time, (t) => (t < 2.05 ? 0 : t < 2.15 ? 20 : 60));
  expect(onset.instant).toBeCloseTo(2.125, 9);
});

test("the load current is a median: a spike in the first 5 s does not move it", () => {
  const onset = onsetOf(instants(0, 20, 10), (t) => (t < 2 ? 0 : t > 3 && t < 3.3 ? 300 : 60));
  expect(onset.loadCurrentA).toBe(60);
  expect(onset.instant).toBeCloseTo(1.95, 12);
});

test("only the first 5 s of load count for the load current", () => {
  expect(onsetOf(instants(0, 30, 10), (t) => (t < 2 ? 0 : t < 7 ? 60 : 30)).loadCurrentA).toBe(60);
});

test("10 % is left for the last time before 90 %: a touch of the throttle before is part of the rest", () => {
  const onset = onsetOf(instants(0, 20, 10), (t) => (t > 2.55 && t < 2.85 ? 10 : ramp(3, 4, 60)(t)));
  expect(onset.riseFrom).toBeCloseTo(3.1, 12);
});

describe("a log that begins under load", () => {
  const time = instants(5, 20, 10);
  const onset = onsetOf(time, () => 60);
  test("has its onset at the first sample", () => expect(onset.instant).toBe(5));
  test("has no rise and no rest", () => {
    expect([onset.riseFrom, onset.riseSeconds, onset.restSamples]).toEqual([null, null, 0]);
    expect(restWindow(time, onset)).toBeNull();
  });
});

test("a log that begins within the rise has an onset, and no rise", () => {
  const onset = onsetOf(instants(2.3, 20, 10), ramp(2, 3, 60));
  expect(onset.instant).toBeCloseTo(2.5, 12);
  expect(onset.riseSeconds).toBeNull();
});

test("a rest of a single sample, or of two that are long past, gives no rest voltage", () => {
  const time = Float64Array.of(2, ...instants(2.1, 10, 10));
  const onset = onsetOf(time, (t) => (t < 2.05 ? 0 : 60));
  expect(restWindow(time, { ...onset, riseFrom: 2.05 })).toBeNull();
  const past = Float64Array.of(-60, 2, ...instants(2.1, 10, 10));
  expect(restWindow(past, { ...onset, restSamples: 2, riseFrom: 2.05 })).toBeNull();
});

test("a log too slow for two samples in the last second of rest gives the last two before the load", () => {
  const time = Float64Array.of(0, 5, 10, 15, ...instants(20, 60, 0.2));
  const onset = onsetOf(time, (t) => (t < 16 ? 0 : 2));
  expect(restWindow(time, onset)).toEqual({ from: 2, to: 4 });
});

test.each([
  ["zero", 0],
  ["negative", -5],
])("no onset in a log whose current is %s", (_, amperes) => {
  const time = instants(0, 10, 10);
  expect(
    findOnset(
      time,
      time.map(() => amperes),
    ),
  ).toBeNull();
});
