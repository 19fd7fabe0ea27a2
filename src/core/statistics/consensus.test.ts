import { describe, expect, test } from "@jest/globals";
import { consensusOf } from "./consensus.js";
import { dersimonianLaird } from "./dersimonian-laird.js";

// Published worked examples of both methods are held in test/cross-checks/checks/random-effects.ts.

const estimate = (value: number, uncertainty: number) => ({ value, uncertainty, degreesOfFreedom: null });

describe("the consensus of several testers", () => {
  test("is the weighted mean without between-tester variance when the estimates agree, by either method", () => {
    const agreeing = [estimate(10, 1), estimate(10.5, 0.5)];
    for (const method of [consensusOf, dersimonianLaird]) {
      const consensus = method(agreeing);
      expect(consensus.betweenVariance).toBe(0);
      expect(consensus.value).toBeCloseTo((10 + 4 * 10.5) / 5, 12);
      expect(consensus.uncertainty).toBeCloseTo(1 / Math.sqrt(5), 12);
    }
  });

  test("is known as well as stated uncertainties are while the estimates agree", () => {
    expect(consensusOf([estimate(10, 1), estimate(10.5, 0.5)]).degreesOfFreedom).toBeNull();
    expect(consensusOf([estimate(10, 1)]).degreesOfFreedom).toBeNull();
  });

  test("has one degree of freedom less than testers where it rests on their scatter alone", () => {
    const scattered = [9, 10, 11, 12.5].map((value) => estimate(value, 1e-4));
    expect(consensusOf(scattered).degreesOfFreedom).toBeCloseTo(3, 6);
  });

  test("solves its equation: weighted squares about the mean are one less than the testers", () => {
    const values = [estimate(10, 0.3), estimate(11.2, 0.5), estimate(9.1, 0.2), estimate(10.4, 1)];
    const { value, betweenVariance } = consensusOf(values);
    const squares = values.reduce(
      (sum, one) => sum + (one.value - value) ** 2 / (one.uncertainty ** 2 + betweenVariance),
      0,
    );
    expect(squares).toBeCloseTo(3, 10);
  });

  test("refuses no estimates and uncertainties of zero", () => {
    expect(() => consensusOf([])).toThrow(RangeError);
    expect(() => consensusOf([estimate(1, 0)])).toThrow(RangeError);
  });
});
