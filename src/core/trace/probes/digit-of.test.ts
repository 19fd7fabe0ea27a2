import { expect, test } from "@jest/globals";
import { digitOf } from "./digit-of.js";

test.each([
  [[20.1, 22.4, 31.4, 40.2], 0.1],
  [[21, 24, 30], 3],
  [[20.0625, 20.125, 20.25], 0.0625],
  [[20, 20.5, 22], 0.5],
  [[Number.NaN, 20, Number.NaN, 20.3, 20.9], 0.3],
])("%j has digits of %d", (values, digit) => {
  expect(digitOf(Float64Array.from(values))).toBeCloseTo(digit, 9);
});

test("degrees of another unit have digits of their own", () => {
  const celsius = [68, 69, 71, 74, 75].map((fahrenheit) => ((fahrenheit - 32) * 5) / 9);
  expect(digitOf(Float64Array.from(celsius))).toBeCloseTo(5 / 9, 9);
});

test("numbers on no grid have none", () => {
  expect(digitOf(Float64Array.from([20.1234567, 20.5432112, 21.1112223]))).toBe(0);
  expect(digitOf(Float64Array.from([20, 20, 20]))).toBe(0);
});
