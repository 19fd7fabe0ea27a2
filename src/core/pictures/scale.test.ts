import { describe, expect, it } from "@jest/globals";
import { linearScale, logarithmicScale, tickText } from "./scale.js";

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

describe("a logarithmic axis", () => {
  const on = (values: readonly number[], more = {}) => logarithmicScale(values, { ...options, ...more });
  const ticksOf = (...asked: Parameters<typeof on>) => on(...asked).ticks.map(({ text }) => text);

  it("lays equal ratios equally far apart", () => {
    const { at } = on([1, 10_000], { rounded: false });
    for (const [i, value] of [1, 10, 100, 1000, 10_000].entries()) expect(at(value)).toBeCloseTo(25 * i, 9);
    expect([at(0), at(-3)]).toEqual([0, 0]);
  });

  it("has ticks at one, two and five of each decade, fewer where there is no room, and goes on to them", () => {
    expect(ticksOf([12, 480], { count: 6 })).toEqual(["10", "20", "50", "100", "200", "500"]);
    expect(ticksOf([12, 480], { rounded: false, count: 6 })).toEqual(["20", "50", "100", "200"]);
    expect(ticksOf([2, 20_000])).toEqual(["1", "10", "100", "1000", "10\u00a0000", "100\u00a0000"]);
    expect(ticksOf([0.02, 3], { count: 3 })).toEqual(["0.01", "0.1", "1", "10"]);
  });

  it("has even ticks where it spans less than that", () => {
    expect(ticksOf([61, 74])).toEqual(["62", "64", "66", "68", "70", "72", "74"]);
  });

  it("is without ticks where no value is above zero", () => {
    expect([ticksOf([]), ticksOf([0, -4, Number.NaN])]).toEqual([[], []]);
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
