import { expect, it } from "@jest/globals";
import { createRandom } from "../../../seed/simulator/random.js";
import { expEach, plus, plusTimes, sumOf, times, timesEach, within } from "./each-value.js";
import { exp } from "./library.js";

const random = createRandom(23);
const drawn = () => Float64Array.from({ length: 50 }, () => 3 * random.gaussian());

// Each by its definition, in the arithmetic of ECMA-262 (IEEE 754, doubles), to the last bit.
it("computes each value as if it stood alone", () => {
  const [values, others] = [drawn(), drawn()];
  const each = (of: (value: number, other: number) => number) =>
    Float64Array.from(values, (value, i) => of(value, others[i] as number));
  expect(times(values, 0.7)).toEqual(each((value) => value * 0.7));
  expect(timesEach(values, others)).toEqual(each((value, other) => value * other));
  expect(plus(values, -0.1)).toEqual(each((value) => value - 0.1));
  expect(plusTimes(values, 0.3, others)).toEqual(each((value, other) => value + 0.3 * other));
});

it("puts a power of e in each value's place", () => {
  const values = drawn();
  const expected = values.map((value) => exp(value));
  expEach(values);
  expect(values).toEqual(expected);
});

it("puts what lies beyond a bound on it", () => {
  expect(within(Float64Array.of(-5, -2, 0.5, 2, 2.1), 2)).toEqual(Float64Array.of(-2, -2, 0.5, 2, 2));
});

it("sums up in the order of the values", () => {
  expect(sumOf(Float64Array.of(1e16, 1, -1e16))).toBe(0);
  expect(sumOf(Float64Array.of(1e16, -1e16, 1))).toBe(1);
  expect(sumOf(new Float64Array(0))).toBe(0);
});
