import { expect, it } from "@jest/globals";
import fc from "fast-check";
import { decimalExponent, powerOfTen, powerOfTwoFrom, powerOfTwoUpTo } from "./powers.js";

it("powers of ten are those of decimal text", () => {
  expect([-323, -5, -1, 0, 3, 22, 23, 308].map(powerOfTen)).toEqual([1e-323, 1e-5, 0.1, 1, 1000, 1e22, 1e23, 1e308]);
});

it("the decimal exponent is that of the first digit", () => {
  expect(
    [1, 9.999999999999998, 10, 999.9999999999999, 1000, 0.1, 0.09999999999999999, -250].map(decimalExponent),
  ).toEqual([0, 0, 1, 2, 3, -1, -2, 2]);
});

it("powers of two enclose what they are asked of", () => {
  expect([1, 2, 3, 4, 1023.5, 1024, 2 ** 32 - 1].map(powerOfTwoUpTo)).toEqual([1, 2, 2, 4, 512, 1024, 2 ** 31]);
  expect([1, 2, 3, 4, 1023.5, 1024, 1024.5].map(powerOfTwoFrom)).toEqual([1, 2, 4, 4, 1024, 1024, 2048]);
  fc.assert(
    fc.property(fc.double({ min: 1, max: 2 ** 32, maxExcluded: true, noNaN: true }), (value) => {
      expect(powerOfTwoUpTo(value)).toBeLessThanOrEqual(value);
      expect(powerOfTwoFrom(value)).toBeGreaterThanOrEqual(value);
      expect(powerOfTwoFrom(value) / powerOfTwoUpTo(value)).toBeLessThanOrEqual(2);
    }),
  );
});

it.each([0, 0.5, -4, 2 ** 32, Number.NaN, Infinity])("no power of two is told of %d", (value) => {
  expect(() => powerOfTwoUpTo(value)).toThrow(RangeError);
  expect(() => powerOfTwoFrom(value)).toThrow(RangeError);
});
