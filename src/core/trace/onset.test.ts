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

function windowOf(time: Float64Array, amperes: (t: number) => number, changes: Partial<Onset> = {}) {
  return restWindow(time, time.map(amperes), { ...onsetOf(time, amperes), ...changes });
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
    const window = windowOf(time, ramp(2, 3, 60));
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
    expect(windowOf(time, () => 60)).toBeNull();
  });
});

test("a log that begins within the rise has an onset, and no rise", () => {
  const onset = onsetOf(instants(2.3, 20, 10), ramp(2, 3, 60));
  expect(onset.instant).toBeCloseTo(2.5, 12);
  expect(onset.riseSeconds).toBeNull();
});

test("a rest of a single sample, or of two that are long past, gives no rest voltage", () => {
  const time = Float64Array.of(2, ...instants(2.1, 10, 10));
  expect(windowOf(time, (t) => (t < 2.05 ? 0 : 60), { riseFrom: 2.05 })).toBeNull();
  const past = Float64Array.of(-60, 2, ...instants(2.1, 10, 10));
  expect(windowOf(past, (t) => (t < 2.05 ? 0 : 60), { restSamples: 2, riseFrom: 2.05 })).toBeNull();
});

test("a log too slow for two samples in the last second of rest gives the last two before the load", () => {
  const time = Float64Array.of(0, 5, 10, 15, ...instants(20, 60, 0.2));
  expect(windowOf(time, (t) => (t < 16 ? 0 : 2))).toEqual({ from: 2, to: 4 });
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

describe("a spin-up of 10 % of the load before it", () => {
  // A sensor that is off by 0.12 A: 5 s of rest, 4 s of spin-up, then the load.
  const time = instants(0, 30, 10);
  const spun = (share: number) => (t: number) =>
    0.12 + (t < 5 ? 0 : t < 8.95 ? share * 60 : 60) + 0.05 * Math.sin(77 * t);

  test.each([0.03, 0.06, 0.09, 0.12])(
    "%d: the sensor's rest is what it reads before, and the load what comes after",
    (share) => {
      const onset = onsetOf(time, spun(share));
      expect(onset.restA).toBeCloseTo(0.12, 1);
      expect(onset.loadCurrentA).toBeCloseTo(60.12, 1);
      expect(onset.instant).toBeCloseTo(8.9, 0);
    },
  );
  test.each([0.06, 0.09])("%d: the rest voltage is read before it", (share) => {
    const window = windowOf(time, spun(share));
    expect(time[(window?.to ?? 1) - 1]).toBeLessThan(5);
    expect((time[(window?.to ?? 1) - 1] as number) - (time[window?.from ?? 0] as number)).toBeCloseTo(0.9, 0);
  });
});

test("a load that comes on in 30 s rises from what the sensor reads at rest", () => {
  const onset = onsetOf(instants(0, 60, 10), (t) => 0.12 + ramp(5, 35, 60)(t));
  expect(onset.restA).toBeCloseTo(0.12, 9);
  expect(onset.riseSeconds).toBeGreaterThan(3);
});

test.each([-9, 0.3, 6, 9])("a sensor that reads %d A at rest throughout is taken at its word", (offsetA) => {
  expect(onsetOf(instants(0, 30, 10), (t) => offsetA + (t < 9 ? 0.1 * Math.sin(99 * t) : 90)).restA).toBeCloseTo(
    offsetA,
    1,
  );
});

test("a charger that is on until the load is no rest", () => {
  expect(onsetOf(instants(0, 30, 10), (t) => (t < 3 ? 0.1 : t < 9 ? -20 : 90)).restA).toBe(0.1);
});
