import { describe, expect, test } from "@jest/globals";
import { areDistinguishable, differenceFrom, differenceUncertainty } from "./difference.js";

const exact = (value: number) => ({ value, uncertainty: 0 });

describe("a difference from a baseline", () => {
  // Common practice, no published source: readings of full-load tests and the percentages that testers give for them.
  test.each([
    [1811, 1354, -25, 0],
    [1702, 1217, -28.5, 1],
    [1629, 1210, -25.7, 1],
    [4804, 872, -81.8, 1],
  ])("of %d and %d is %d %%", (baseline, value, percent, digits) => {
    const { differencePercent } = differenceFrom(exact(baseline), exact(value));
    expect(Number(differencePercent?.toFixed(digits))).toBe(percent);
  });

  test("has no percentage of a baseline of zero", () => {
    expect(differenceFrom(exact(0), exact(5))).toEqual({
      difference: 5,
      differencePercent: null,
      distinguishable: true,
    });
  });

  test("counts only beyond twice the joint standard uncertainty", () => {
    const a = { value: 100, uncertainty: 3 };
    expect(areDistinguishable(a, { value: 110, uncertainty: 4 })).toBe(false);
    expect(areDistinguishable(a, { value: 110.01, uncertainty: 4 })).toBe(true);
  });

  // JCGM 100, 5.1.2 and 5.1.6 worked by hand: 3-4-5 for the difference; for 110 / 100 the shares 4 / 110 and 3 / 100.
  test("is known as well as both are, and in percent as well as their ratio is", () => {
    const baseline = { value: 100, uncertainty: 3 };
    const found = differenceUncertainty(baseline, { value: 110, uncertainty: 4 }, false);
    expect(found.differenceUncertainty).toBeCloseTo(5, 12);
    expect(found.differencePercentUncertainty).toBeCloseTo(110 * Math.hypot(4 / 110, 3 / 100), 12);
    expect(differenceUncertainty(baseline, baseline, true)).toEqual({
      differenceUncertainty: 0,
      differencePercentUncertainty: 0,
    });
    expect(differenceUncertainty(exact(0), exact(5), false).differencePercentUncertainty).toBeNull();
  });
});
