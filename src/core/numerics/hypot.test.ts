import { describe, expect, it } from "@jest/globals";
import fc from "fast-check";
import { hypot } from "./hypot.js";

describe("the root of the sum of squares", () => {
  it("is exact where the squares are (Pythagorean triples and quadruples)", () => {
    expect([hypot(3, 4), hypot(-5, 12), hypot(2, 3, 6), hypot(7), hypot()]).toEqual([5, 13, 7, 7, 0]);
  });

  it("neither overflows nor vanishes where the squares would", () => {
    expect(hypot(3e200, 4e200) / 5e200).toBeCloseTo(1, 14);
    expect(hypot(3e-200, 4e-200) / 5e-200).toBeCloseTo(1, 14);
    expect(hypot(0, -0)).toBe(0);
  });

  // ECMA-262, Math.hypot: an infinity decides before a NaN does; IEEE 754-2019, 9.2.1, says so of hypot of two (from memory).
  it.each([
    [[Infinity, 1], Infinity],
    [[Number.NaN, -Infinity], Infinity],
    [[1, Infinity, Number.NaN], Infinity],
    [[Number.NaN, 1], Number.NaN],
  ])("of %j is %d, as the engine's", (values, expected) => {
    expect(hypot(...values)).toBe(expected);
    expect(Math.hypot(...values)).toBe(expected);
  });

  it("is the engine's but for the last places", () => {
    const value = fc.double({ min: -1e300, max: 1e300, noNaN: true });
    fc.assert(
      fc.property(fc.array(value, { minLength: 1, maxLength: 6 }), (values) => {
        const engines = Math.hypot(...values);
        expect(Math.abs(hypot(...values) - engines)).toBeLessThanOrEqual(2e-15 * engines);
      }),
    );
  });
});
