import { describe, expect, test } from "@jest/globals";
import fc from "fast-check";
import { agreementOf } from "./agreement.js";

// ASTM E691's glucose data are held in test/cross-checks/checks/interlaboratory.ts.

const testers = (...values: number[][]) => values.map((own, i) => ({ testerId: `tester ${i}`, values: own }));

describe("the agreement of testers", () => {
  test("of single runs has no repeatability, and their standard deviation as reproducibility", () => {
    const { repeatabilitySd, reproducibilitySd, testers: each } = agreementOf(testers([10], [12], [14]));
    expect(repeatabilitySd).toBeNull();
    expect(reproducibilitySd).toBe(2);
    expect(each.map(({ h, k, sd }) => [h, k, sd])).toEqual([
      [-1, null, null],
      [0, null, null],
      [1, null, null],
    ]);
  });

  test("of one tester is that tester's repeatability alone", () => {
    const { repeatabilitySd, reproducibilitySd, hCritical, testers: each } = agreementOf(testers([10, 12, 14]));
    expect([repeatabilitySd, reproducibilitySd, hCritical]).toEqual([2, null, null]);
    expect(each[0]).toMatchObject({ runs: 3, mean: 12, sd: 2, h: null, k: 1, kCritical: null, deviates: false });
  });

  test("is complete to the last digit where all results are the same", () => {
    const { repeatabilitySd, reproducibilitySd, testers: each } = agreementOf(testers([5, 5], [5, 5], [5, 5]));
    expect([repeatabilitySd, reproducibilitySd]).toEqual([0, 0]);
    expect(each.map(({ h, k, deviates }) => [h, k, deviates])).toEqual(Array(3).fill([null, null, false]));
  });

  test("flags the one tester who is far off, and who scatters more than the others", () => {
    const off = agreementOf(testers([100, 101], [101, 100], [99, 100], [100, 99], [101, 99], [130, 131]));
    expect(off.testers.map(({ deviates }) => deviates)).toEqual([false, false, false, false, false, true]);
    const wide = agreementOf(testers([100, 101], [101, 100], [99, 100], [85, 115], [101, 100]));
    expect(wide.testers.map(({ deviates }) => deviates)).toEqual([false, false, false, true, false]);
  });

  test("with unequal numbers of repeats, a variance by hand (ISO 5725-2, from memory)", () => {
    const { repeatabilitySd, reproducibilitySd } = agreementOf(testers([10, 12], [20], [13, 14, 15]));
    // Within: 2 + 0 + 2 over 3. Between: 2 (11 - 14)^2 + (20 - 14)^2 + 0 = 54 over 2; repeats (6 - 14/6) / 2.
    expect(repeatabilitySd).toBeCloseTo(Math.sqrt(4 / 3), 12);
    const between = (54 / 2 - 4 / 3) / ((6 - 14 / 6) / 2);
    expect(reproducibilitySd).toBeCloseTo(Math.sqrt(4 / 3 + between), 12);
  });

  test("never has a reproducibility below the repeatability, and does not change with the unit's zero", () => {
    const cell = fc.array(fc.integer({ min: 900, max: 1100 }), { minLength: 1, maxLength: 5 });
    fc.assert(
      fc.property(fc.array(cell, { minLength: 2, maxLength: 7 }), (values) => {
        const here = agreementOf(testers(...values));
        const there = agreementOf(testers(...values.map((own) => own.map((value) => value + 1_000_000))));
        expect(here.reproducibilitySd as number).toBeGreaterThanOrEqual((here.repeatabilitySd ?? 0) * (1 - 1e-12));
        expect(there.reproducibilitySd).toBeCloseTo(here.reproducibilitySd as number, 6);
      }),
    );
  });
});
