import { describe, expect, test } from "@jest/globals";
import { coverageFactor } from "./coverage-factor.js";
import { effectiveFreedom } from "./effective-freedom.js";
import { propagate } from "./propagate.js";

// Examples of JCGM 100 are held in test/cross-checks/checks/gum.ts.

describe("effective degrees of freedom", () => {
  test("are infinite where no part was estimated from observations, and where that part is nothing", () => {
    expect(effectiveFreedom([{ uncertainty: 3, degreesOfFreedom: null }])).toBeNull();
    const nothing = { uncertainty: 0, degreesOfFreedom: 2 };
    expect(effectiveFreedom([{ uncertainty: 3, degreesOfFreedom: null }, nothing])).toBeNull();
    expect(effectiveFreedom([nothing])).toBeNull();
  });
  test("are the part's own where it is alone, and the sum where equal parts meet", () => {
    expect(effectiveFreedom([{ uncertainty: 0.2, degreesOfFreedom: 4 }])).toBeCloseTo(4, 12);
    const part = { uncertainty: 0.2, degreesOfFreedom: 4 };
    expect(effectiveFreedom([part, part, part])).toBeCloseTo(12, 12);
  });
});

describe("a coverage factor", () => {
  test("is 2 for endlessly many degrees of freedom, and falls towards it", () => {
    const factors = [1, 2, 3.5, 8, 40, 1e3, 1e5, 1e9, null].map(coverageFactor);
    expect(factors.at(-1)).toBe(2);
    expect(factors.at(-2)).toBe(2);
    factors.slice(1).forEach((factor, i) => {
      expect(factor).toBeLessThanOrEqual(factors[i] as number);
    });
  });
});

describe("propagation", () => {
  test("of a fully correlated offset through a difference leaves nothing (JCGM 100, 5.2.2, note 1, derived)", () => {
    const { values, covariance } = propagate(
      ([a = 0, b = 0]) => [a - b],
      [8.3, 8.22],
      [
        [25, 25],
        [25, 25],
      ],
    );
    expect(values[0]).toBeCloseTo(0.08, 12);
    expect(covariance[0]?.[0]).toBeCloseTo(0, 9);
  });
  test("of a two-current resistance with voltages known to 5 mV each is 1.76777 mohm (derived)", () => {
    const ohms = ([u1 = 0, u2 = 0]: readonly number[]) => [(u1 - u2) / (5 - 1)];
    const { covariance } = propagate(
      ohms,
      [8.3, 8.22],
      [
        [0.005 ** 2, 0],
        [0, 0.005 ** 2],
      ],
    );
    expect(1000 * Math.sqrt(covariance[0]?.[0] as number)).toBeCloseTo(1.76777, 5);
  });
  test("through an input that is exact is none", () => {
    expect(propagate(([a = 0]) => [a * a], [3], [[0]])).toEqual({ values: [9], covariance: [[0]] });
  });
});
