import { describe, expect, test } from "@jest/globals";
import fc from "fast-check";
import { instants } from "../../../test/support/traces.js";
import { firstReach, indexAtOrAfter, integrate, largestMean, mean, valueAt } from "./series.js";

const sampled = (toS: number, stepS: number, value: (t: number) => number) => {
  const time = instants(0, toS, 1 / stepS);
  return { time, values: time.map(value) };
};

/** Strictly rising times from 0, with a value each. */
const series = fc
  .array(fc.tuple(fc.integer({ min: 1, max: 2000 }), fc.integer({ min: -500, max: 500 })), {
    minLength: 3,
    maxLength: 40,
  })
  .map((steps) => {
    let now = 0;
    const time = Float64Array.from(steps, ([step], i) => (now += i === 0 ? 0 : step / 1000));
    return { time, values: Float64Array.from(steps, ([, value]) => value / 10), end: now };
  });

describe("the integral", () => {
  // Closed forms, derived; 1 Ah = 3600 C.
  test("of a constant 40 A over 3600 s is 40 Ah", () => {
    const { time, values } = sampled(3600, 1, () => 40);
    expect(integrate(time, values, 0, 3600) / 3600).toBeCloseTo(40, 12);
  });

  test("of a ramp from 0 to 60 A in 120 s is 1 Ah, at any spacing", () => {
    fc.assert(
      fc.property(fc.uniqueArray(fc.integer({ min: 1, max: 119_999 }), { maxLength: 50 }), (between) => {
        const time = Float64Array.from([0, ...between.sort((a, b) => a - b), 120_000], (ms) => ms / 1000);
        expect(
          integrate(
            time,
            time.map((t) => t / 2),
            0,
            120,
          ) / 3600,
        ).toBeCloseTo(1, 12);
      }),
    );
  });

  test.each([
    [1, 20.001697782798065],
    [0.1, 19.997531803918267 + 4.16615e-5],
    [10, 20.41242142152028],
  ])("of exp(-t/20) over 180 s in steps of %d s has the trapezoid's own error, h^2 f'' / 12", (step, expected) => {
    const { time, values } = sampled(180, step, (t) => Math.exp(-t / 20));
    expect(integrate(time, values, 0, 180)).toBeCloseTo(expected, 9);
  });

  test("of a current with ripple times its voltage is exact over whole periods: 2400 C and 117097.5 J", () => {
    const { time, values: current } = sampled(60, 0.1, (t) => 40 + 5 * Math.sin(2 * Math.PI * t));
    const power = current.map((amperes) => (50 - 0.03 * amperes) * amperes);
    expect(integrate(time, current, 0, 60)).toBeCloseTo(2400, 9);
    expect(integrate(time, power, 0, 60)).toBeCloseTo(117_097.5, 6);
  });

  test("of a half-sine of 60 A and 10 s comes near 2 x 60 x 10 / pi C, with the error of its step", () => {
    const { time, values } = sampled(10, 0.1, (t) => 60 * Math.sin((Math.PI * t) / 10));
    const bound = (10 * 0.1 ** 2 * 60 * (Math.PI / 10) ** 2) / 12;
    expect(Math.abs(integrate(time, values, 0, 10) - 381.9718634205488)).toBeLessThan(bound);
  });

  test("is interpolated at both ends, also between two samples", () => {
    const { time, values } = sampled(10, 1, (t) => t);
    expect(integrate(time, values, 2.3, 7.9)).toBeCloseTo((7.9 ** 2 - 2.3 ** 2) / 2, 12);
    expect(integrate(time, values, 2.3, 2.4)).toBeCloseTo((2.4 ** 2 - 2.3 ** 2) / 2, 12);
  });

  test("adds up over any cut of the stretch", () => {
    fc.assert(
      fc.property(series, fc.double({ min: 0, max: 1, noNaN: true }), ({ time, values, end }, share) => {
        const parts = integrate(time, values, 0, share * end) + integrate(time, values, share * end, end);
        expect(parts).toBeCloseTo(integrate(time, values, 0, end), 6);
      }),
    );
  });
});

test("a value between samples is on the line between them, and that of the nearest outside", () => {
  const time = Float64Array.of(0, 1, 3);
  const values = Float64Array.of(10, 20, 0);
  expect([-1, 0, 0.25, 1, 2, 3, 9].map((t) => valueAt(time, values, t))).toEqual([10, 10, 12.5, 20, 10, 0, 0]);
  expect([-1, 0, 0.5, 1, 3, 4].map((t) => indexAtOrAfter(time, t))).toEqual([0, 0, 1, 1, 2, 3]);
});

test("a mean is weighted by time, not by samples", () => {
  const time = Float64Array.of(0, 0.1, 0.2, 0.3, 10);
  expect(mean(time, Float64Array.of(100, 100, 100, 0, 0), 0, 10)).toBeCloseTo((0.2 * 100 + 0.05 * 100) / 10, 12);
});

describe("the largest mean over a window", () => {
  test("is no less than that of any other window, and is the mean over the window it names", () => {
    fc.assert(
      fc.property(series, fc.double({ min: 0.05, max: 0.9, noNaN: true }), ({ time, values, end }, share) => {
        const width = share * end;
        const found = largestMean(time, values, width, 0, end);
        expect(found.from).toBeGreaterThanOrEqual(0);
        expect(found.from).toBeLessThanOrEqual(end - width + 1e-9);
        expect(found.mean).toBe(mean(time, values, found.from, found.from + width));
        const starts = [
          ...time,
          ...time.map((t) => t - width),
          ...Array.from({ length: 300 }, (_, i) => (i * (end - width)) / 299),
        ];
        for (const start of starts.filter((s) => s >= 0 && s <= end - width)) {
          expect(mean(time, values, start, start + width)).toBeLessThanOrEqual(found.mean + 1e-9);
        }
      }),
    );
  });

  test("may lie between samples: around the tip of a triangle", () => {
    const { from, mean: most } = largestMean(Float64Array.of(0, 2, 4), Float64Array.of(0, 2, 0), 1, 0, 4);
    expect(from).toBeCloseTo(1.5, 12);
    expect(most).toBeCloseTo(1.75, 12);
  });

  test("is the earliest of equals", () => {
    expect(largestMean(instants(0, 10, 10), new Float64Array(101).fill(5), 0.5, 0, 5)).toEqual({ from: 0, mean: 5 });
  });

  test("stays within its bounds", () => {
    const { time, values } = sampled(10, 0.1, (t) => t);
    expect(largestMean(time, values, 0.5, 0, 5).from).toBeCloseTo(4.5, 12);
  });
});

describe("the first reach of a level", () => {
  const { time, values } = sampled(10, 1, (t) => 20 + 3 * t);

  test("is interpolated", () => expect(firstReach(time, values, 30, "up", 0, 10)).toBeCloseTo(10 / 3, 12));
  test("is the beginning when the level is passed there", () =>
    expect(firstReach(time, values, 20, "up", 2, 10)).toBe(2));
  test("is none when it lies past the end", () => expect(firstReach(time, values, 30, "up", 0, 3.3)).toBeNull());
  test("is none when the channel never goes there", () =>
    expect(firstReach(time, values, 19, "down", 0, 10)).toBeNull());
  test("goes down too", () => {
    expect(
      firstReach(
        time,
        values.map((value) => -value),
        -30,
        "down",
        0,
        10,
      ),
    ).toBeCloseTo(10 / 3, 12);
  });
});
