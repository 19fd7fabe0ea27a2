import { describe, expect, test } from "@jest/globals";
import fc from "fast-check";
import { median } from "../statistics/median.js";
import { HUBER_C, huberMean } from "./huber.js";

const equal = (values: readonly number[]) => values.map(() => 1);
const mad = (values: readonly number[]) => {
  const centre = median(values);
  return 1.4826 * median(values.map((value) => Math.abs(value - centre)));
};

describe("Huber's mean", () => {
  // 24 determinations of copper in wholemeal flour, ug/g: Analytical Methods Committee, Analyst 114 (1989) 1693; R's MASS::huber gives mu = 3.206724
  // and s = 0.526323 for it with k = 1.5 (data and results from memory).
  test("is the published one for the copper in wholemeal flour", () => {
    const copper = [
      2.9, 3.1, 3.4, 3.4, 3.7, 3.7, 2.8, 2.5, 2.4, 2.4, 2.7, 2.2, 5.28, 3.37, 3.03, 3.03, 28.95, 3.77, 3.4, 2.2, 3.5,
      3.6, 3.7, 3.7,
    ];
    expect(mad(copper)).toBeCloseTo(0.526323, 6);
    expect(huberMean(copper, equal(copper), mad(copper), median(copper), 1.5).value).toBeCloseTo(3.206724, 5);
  });

  test("solves its equation, whatever is preferred, and lies between the smallest and the largest", () => {
    const results = fc.array(
      fc.record({
        value: fc.double({ min: 900, max: 1100, noNaN: true }),
        weight: fc.double({ min: 0.1, max: 10, noNaN: true }),
      }),
      { minLength: 1, maxLength: 12 },
    );
    fc.assert(
      fc.property(results, fc.double({ min: 1, max: 50, noNaN: true }), (some, scale) => {
        const [values, weights] = [some.map(({ value }) => value), some.map(({ weight }) => weight)];
        for (const preferred of [Math.min(...values), Math.max(...values)]) {
          const { value } = huberMean(values, weights, scale, preferred);
          const pull = values.reduce((sum, one, i) => {
            const r = (one - value) / scale;
            return sum + (weights[i] as number) * Math.max(-HUBER_C, Math.min(HUBER_C, r));
          }, 0);
          expect(Math.abs(pull)).toBeLessThan(1e-9 * weights.reduce((a, b) => a + b, 0));
          expect(value).toBeGreaterThanOrEqual(Math.min(...values) - 1e-9);
          expect(value).toBeLessThanOrEqual(Math.max(...values) + 1e-9);
        }
      }),
    );
  });

  test("is the nearest to the preferred one where two camps pull alike", () => {
    const camps = (preferred: number) => huberMean([0, 0, 100, 100], equal([0, 0, 0, 0]), 1, preferred).value;
    expect([camps(-5), camps(40), camps(200)]).toEqual([HUBER_C, 40, 100 - HUBER_C]);
  });

  test("is the mean where nothing is far", () => {
    expect(huberMean([10, 11, 12], equal([1, 1, 1]), 5, 10).value).toBeCloseTo(11, 10);
  });

  test("does not follow one result however far it goes", () => {
    const at = (far: number) => huberMean([10, 11, 12, 13, far], equal([1, 1, 1, 1, 1]), 1, 12).value;
    expect(at(1e9)).toBeCloseTo(at(1e3), 6);
  });
});
