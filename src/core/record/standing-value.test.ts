import { describe, expect, test } from "@jest/globals";
import fc from "fast-check";
import { consensusOf } from "../statistics/consensus.js";
import { coverageFactor } from "../uncertainty/coverage-factor.js";
import { boundedShares } from "./bounded-shares.js";
import { standingValue, type TesterResultOfPack } from "./standing-value.js";

const SD = 0.0095;
const result = (testerId: string, value: number, uncertainty: number, more: Partial<TesterResultOfPack> = {}) => ({
  testerId,
  value,
  uncertainty,
  degreesOfFreedom: null,
  parts: [],
  common: 0,
  recordUncertainty: 0,
  ...more,
});
const three = [result("a", 1588, 7), result("b", 1590, 7), result("c", 1592, 7)];
const U = ({ uncertainty, degreesOfFreedom }: ReturnType<typeof standingValue>) =>
  coverageFactor(degreesOfFreedom) * uncertainty;

const testers = fc
  .array(
    fc.record({
      value: fc.double({ min: 1000, max: 1100, noNaN: true }),
      uncertainty: fc.double({ min: 0.01, max: 60, noNaN: true }),
    }),
    { minLength: 1, maxLength: 12 },
  )
  .map((some) => some.map(({ value, uncertainty }, i) => result(`tester ${i}`, value, uncertainty)));

describe("bounded shares", () => {
  test("sum to one, exceed the bound nowhere, and keep the order of the weights", () => {
    const weights = fc.array(fc.double({ min: 1e-6, max: 1e6, noNaN: true }), { minLength: 1, maxLength: 20 });
    fc.assert(
      fc.property(weights, fc.double({ min: 0.05, max: 1, noNaN: true }), (some, bound) => {
        const shares = boundedShares(some, bound);
        expect(shares.reduce((sum, share) => sum + share, 0)).toBeCloseTo(1, 9);
        if (bound * some.length > 1) expect(Math.max(...shares)).toBeLessThanOrEqual(bound * (1 + 1e-9));
        some.forEach((weight, i) => {
          some.forEach((other, k) => {
            if (weight > other) expect(shares[i] as number).toBeGreaterThanOrEqual((shares[k] as number) - 1e-12);
          });
        });
      }),
    );
  });

  test("stay in proportion where the bound is not met", () => {
    expect(boundedShares([1, 2, 1], 0.9)).toEqual([0.25, 0.5, 0.25]);
    expect(boundedShares([8, 1, 1], 0.5)).toEqual([0.5, 0.25, 0.25]);
  });
});

describe("the value of several testers", () => {
  test("is no tester's by more than a third from four on, whatever is stated", () => {
    fc.assert(
      fc.property(testers, (some) => {
        const { shares } = standingValue(some, SD);
        if (some.length >= 4) expect(Math.max(...shares)).toBeLessThanOrEqual(1 / 3 + 1e-9);
        expect(shares.reduce((sum, share) => sum + share, 0)).toBeCloseTo(1, 9);
      }),
    );
  });

  test("does not depend on their order, and follows the unit", () => {
    fc.assert(
      fc.property(testers, (some) => {
        const { value, uncertainty } = standingValue(some, SD);
        const turned = standingValue(some.toReversed(), SD);
        expect(turned.value).toBeCloseTo(value, 6);
        const milli = some.map((one) => ({ ...one, value: 1000 * one.value, uncertainty: 1000 * one.uncertainty }));
        expect(standingValue(milli, SD).value / 1000).toBeCloseTo(value, 6);
        expect(standingValue(milli, SD).uncertainty / 1000).toBeCloseTo(uncertainty, 6);
      }),
    );
  });

  test("of one or two is the random-effects mean with the floor", () => {
    const two = [result("a", 1000, 20), result("b", 1010, 10)];
    const { value, uncertainty } = standingValue(two, SD);
    const expected = consensusOf(two);
    expect([value, uncertainty]).toEqual([expect.closeTo(expected.value, 9), expect.closeTo(expected.uncertainty, 9)]);
  });

  // Seen on an earlier version of this service: 1590.0 +- 4.2 W became 1596.2 +- 0.3 W.
  test("is not taken by a fourth tester who states 0.01 %", () => {
    const before = standingValue(three, SD);
    const after = standingValue([...three, result("d", 1594, 0.16)], SD);
    expect(after.value - before.value).toBeLessThan(1.2);
    expect(after.uncertainty).toBeGreaterThan(0.7 * before.uncertainty);
  });

  test("moves by less than its U for one among four who reads 30 % too much", () => {
    const before = standingValue(three, SD);
    const after = standingValue([...three, result("d", 2067, 7)], SD);
    expect(Math.abs(after.value - before.value)).toBeLessThan(U(before));
  });

  test("keeps what all share, once and signed", () => {
    const shared = three.map((one) => ({ ...one, parts: [5, 0, 0] }));
    expect(standingValue(shared, SD).sharedUncertainty).toBeCloseTo(5, 9);
    const cancelling = three.map((one, i) => ({ ...one, parts: [i === 1 ? 0 : 5 * (i - 1), 0, 0] }));
    expect(standingValue(cancelling, SD).sharedUncertainty).toBeCloseTo(0, 9);
  });

  test("counts a tester's uncertainty as the record shows it", () => {
    const honest = standingValue(three, SD);
    const [first, ...rest] = three as [TesterResultOfPack, ...TesterResultOfPack[]];
    const shown = standingValue([{ ...first, recordUncertainty: 0.03 }, ...rest], SD);
    expect(shown.shares[0] as number).toBeLessThan(0.2 * (honest.shares[0] as number));
  });

  test("is exactly known nowhere", () => {
    expect(standingValue([result("a", 0, 0)], SD).uncertainty).toBeGreaterThan(0);
  });
});
