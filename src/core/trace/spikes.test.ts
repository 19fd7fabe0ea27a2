import { expect, test } from "@jest/globals";
import { medianOfThree } from "./spikes.js";

test("a single spike is not seen, two in a row are, and the ends are their neighbours' company", () => {
  const seen = (values: number[]) => values.map((_, i) => medianOfThree(Float64Array.from(values), i));
  expect(seen([1, 1, 900, 1, 1])).toEqual([1, 1, 1, 1, 1]);
  expect(seen([1, -900, 1])).toEqual([1, 1, 1]);
  expect(seen([1, 900, 900, 1])).toEqual([1, 900, 900, 1]);
  expect(seen([1, 2, 3])).toEqual([1, 2, 3]);
});
