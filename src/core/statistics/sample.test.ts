import { describe, expect, test } from "@jest/globals";
import { oneWay } from "./analysis-of-variance.js";
import { sampleOf } from "./sample.js";

// NIST's reference data sets for both are held in test/cross-checks/checks.

describe("mean and standard deviation", () => {
  test("of a few values are those by hand", () => {
    expect(sampleOf([2, 4, 9])).toEqual({ count: 3, mean: 5, squares: 26, sd: Math.sqrt(13) });
  });
  test("of one value have no deviation", () =>
    expect(sampleOf([7])).toEqual({ count: 1, mean: 7, squares: 0, sd: null }));
  test("of equal values have none either", () => expect(sampleOf([0.1, 0.1, 0.1]).sd).toBe(0));
  test("of nothing are no numbers", () => expect(sampleOf([]).mean).toBeNaN());
});

test("an analysis of variance divides all scatter between and within unequal groups", () => {
  const groups = [[3, 5], [8], [1, 2, 6, 7]];
  const { between, within } = oneWay(groups);
  expect(within.squares).toBeCloseTo(2 + 0 + 26, 12);
  expect(between.squares + within.squares).toBeCloseTo(sampleOf(groups.flat()).squares, 12);
  expect([between.degreesOfFreedom, within.degreesOfFreedom]).toEqual([2, 4]);
});
