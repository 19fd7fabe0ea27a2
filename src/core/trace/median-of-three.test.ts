import { expect, test } from "@jest/globals";
import fc from "fast-check";
import { extremesOfMedians, medianOfThree } from "./median-of-three.js";

test("a single spike is not seen, two in a row are, and the ends are their neighbours' company", () => {
  const seen = (values: number[]) => values.map((_, i) => medianOfThree(Float64Array.from(values), i));
  expect(seen([1, 1, 900, 1, 1])).toEqual([1, 1, 1, 1, 1]);
  expect(seen([1, -900, 1])).toEqual([1, 1, 1]);
  expect(seen([1, 900, 900, 1])).toEqual([1, 900, 900, 1]);
  expect(seen([1, 2, 3])).toEqual([1, 2, 3]);
});

test("the extremes are those of all medians of three", () => {
  fc.assert(
    fc.property(fc.array(fc.integer({ min: -5, max: 5 }), { minLength: 1 }), (list) => {
      const values = Float64Array.from(list);
      const medians = list.map((_, i) => medianOfThree(values, i));
      expect(extremesOfMedians(values)).toEqual({ least: Math.min(...medians), most: Math.max(...medians) });
    }),
    { numRuns: 500 },
  );
});
