import { describe, expect, it } from "@jest/globals";
import { linearScale, tickText } from "./scale.js";

const options = { range: [0, 100], count: 5, rounded: true } as const;
const texts = (values: readonly number[]) => linearScale(values, options).ticks.map(({ text }) => text);

describe("an axis", () => {
  it("has ticks at one, two or five times a power of ten, and goes on to them at both ends", () => {
    expect(texts([3, 97])).toEqual(["0", "20", "40", "60", "80", "100"]);
    expect(texts([1392, 1401])).toEqual(["1392", "1394", "1396", "1398", "1400", "1402"]);
    expect(linearScale([3, 97], options).at(50)).toBe(50);
  });

  it("begins at zero where values only scatter about it", () => {
    expect(texts([-0.1, 58])).toEqual(["0", "10", "20", "30", "40", "50", "60"]);
    expect(texts([-10, 58])[0]).toBe("−10");
  });

  it("is drawn around a single value, and without ticks where there is none", () => {
    const { at } = linearScale([5], options);
    expect(at(5)).toBeCloseTo(50, 0);
    expect(texts([])).toEqual([]);
    expect(texts([Number.NaN, Number.POSITIVE_INFINITY])).toEqual([]);
  });
});

// ISO 80000-1, 7.3.1: groups of three digits, a multiplication sign before powers of ten (from memory).
it.each([
  [0.30000000000000004, 0.1, "0.3"],
  [-0.1, 0.1, "−0.1"],
  [-0, 1, "0"],
  [5000, 1000, "5000"],
  [25_000, 5000, "25\u00a0000"],
  [1.5e12, 5e11, "1.5×10¹²"],
  [-2e-9, 1e-9, "−2×10⁻⁹"],
  [0, 1e-9, "0"],
])("writes %d at steps of %d as %s", (value, step, text) => {
  expect(tickText(value, step)).toBe(text);
});
