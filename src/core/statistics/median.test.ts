import { expect, test } from "@jest/globals";
import fc from "fast-check";
import { median } from "./median.js";

test("the median is the middle of the sorted values, the mean of both middle ones for an even number", () => {
  const values = fc.array(fc.oneof(fc.integer({ min: -5, max: 5 }), fc.double({ noNaN: true, min: -1e9, max: 1e9 })), {
    minLength: 1,
    maxLength: 60,
  });
  fc.assert(
    fc.property(values, (all) => {
      const sorted = [...all].sort((a, b) => a - b);
      const [lower, upper] = [sorted[(all.length - 1) >> 1] as number, sorted[all.length >> 1] as number];
      expect(median(all) + 0).toBe((lower + upper) / 2 + 0);
    }),
  );
});

test("the median of nothing is no number", () => expect(median([])).toBeNaN());

test("the values stay as they were", () => {
  const values = Float64Array.of(3, 1, 2);
  expect(median(values)).toBe(2);
  expect([...values]).toEqual([3, 1, 2]);
});

test("a hundred thousand equal or falling values take no longer than a moment", () => {
  expect(median(new Float64Array(100_000).fill(7))).toBe(7);
  expect(median(Float64Array.from({ length: 100_001 }, (_, i) => -i))).toBe(-50_000);
});
