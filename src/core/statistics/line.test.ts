import { describe, expect, test } from "@jest/globals";
import fc from "fast-check";
import { fitLine } from "./line.js";

// NIST Statistical Reference Datasets, Norris (36 observations; the data from memory, the certified values read and met).
const NORRIS_X = Float64Array.of(
  0.2,
  337.4,
  118.2,
  884.6,
  10.1,
  226.5,
  666.3,
  996.3,
  448.6,
  777.0,
  558.2,
  0.4,
  0.6,
  775.5,
  666.9,
  338.0,
  447.5,
  11.6,
  556.0,
  228.1,
  995.8,
  887.6,
  120.2,
  0.3,
  0.3,
  556.8,
  339.1,
  887.2,
  999.0,
  779.0,
  11.1,
  118.3,
  229.2,
  669.1,
  448.9,
  0.5,
);
const NORRIS_Y = Float64Array.of(
  0.1,
  338.8,
  118.1,
  888.0,
  9.2,
  228.1,
  668.5,
  998.5,
  449.1,
  778.9,
  559.2,
  0.3,
  0.1,
  778.1,
  668.8,
  339.3,
  448.9,
  10.8,
  557.7,
  228.3,
  998.0,
  888.8,
  119.6,
  0.3,
  0.6,
  557.6,
  339.3,
  888.0,
  998.5,
  778.9,
  10.2,
  117.6,
  228.9,
  668.4,
  449.2,
  0.2,
);

describe("the least-squares line", () => {
  test("has NIST's certified slope and intercept for Norris", () => {
    const line = fitLine(NORRIS_X, NORRIS_Y);
    expect(line?.slope).toBeCloseTo(1.00211681802045, 12);
    expect(line?.intercept).toBeCloseTo(-0.262323073774029, 10);
  });

  test("keeps its digits far away from the origin", () => {
    const line = fitLine(
      NORRIS_X.map((x) => x + 1e6),
      NORRIS_Y.map((y) => y + 1e6),
    );
    expect(line?.slope).toBeCloseTo(1.00211681802045, 9);
  });

  test("goes through points that are on a line, from one index to another", () => {
    const x = Float64Array.of(99, 1, 2, 4, 8, -7);
    const y = Float64Array.from(x, (value, i) => (i === 0 || i === 5 ? 1000 : 3 - 0.5 * value));
    const line = fitLine(x, y, 1, 5);
    expect(line?.slope).toBeCloseTo(-0.5, 14);
    expect(line?.intercept).toBeCloseTo(3, 14);
  });

  test("leaves a sum of squares that no other line is below", () => {
    const values = fc.array(fc.tuple(fc.integer({ min: -50, max: 50 }), fc.integer({ min: -50, max: 50 })), {
      minLength: 2,
      maxLength: 20,
    });
    const shift = fc.double({ min: -1, max: 1, noNaN: true });
    fc.assert(
      fc.property(values, shift, shift, (points, dSlope, dIntercept) => {
        const x = Float64Array.from(points, ([px]) => px);
        const y = Float64Array.from(points, ([, py]) => py);
        const line = fitLine(x, y);
        if (!line) return expect(new Set(x).size).toBe(1);
        const squares = (slope: number, intercept: number) =>
          points.reduce((sum, [px, py]) => sum + (py - intercept - slope * px) ** 2, 0);
        const least = squares(line.slope, line.intercept);
        expect(squares(line.slope + dSlope, line.intercept + dIntercept)).toBeGreaterThanOrEqual(least - 1e-6);
      }),
    );
  });

  test("is none through fewer than two points, or with all x equal", () => {
    expect(fitLine(Float64Array.of(1), Float64Array.of(1))).toBeNull();
    expect(fitLine(Float64Array.of(1, 2, 3), Float64Array.of(1, 2, 3), 1, 2)).toBeNull();
    expect(fitLine(Float64Array.of(2, 2), Float64Array.of(1, 5))).toBeNull();
  });
});
