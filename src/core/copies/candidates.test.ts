import { expect, it } from "@jest/globals";
import { worthComparing } from "./candidates.js";
import { BITS } from "./window-shape.js";

const named = (bits: readonly number[]) =>
  bits.map((one, i) => ({ runId: `${one} ${i}`, bySamples: i % 2 === 0 ? one : 0, byCourse: i % 2 === 0 ? 0 : one }));

it("what is more than two whole hashes is compared however many there are, what may be chance eight times at most", () => {
  const significant = named(Array.from({ length: 30 }, (_, i) => 400 - i));
  const insignificant = named(Array.from({ length: 30 }, (_, i) => 2 * BITS - i / 2));
  expect(worthComparing([...significant, ...insignificant])).toEqual([...significant, ...insignificant.slice(0, 8)]);
});

it("all are compared where they are few", () => {
  const few = named([60, 50, 26, 26]);
  expect(worthComparing(few)).toEqual(few);
});
