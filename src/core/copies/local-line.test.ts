import { expect, it } from "@jest/globals";
import { lessLocalLine } from "./local-line.js";

const of = (course: (i: number) => number, length = 200) => Float64Array.from({ length }, (_, i) => course(i));
const largest = (values: Float64Array) => Math.max(...values.map(Math.abs));

it("leaves nothing of a straight line, up to both ends", () => {
  expect(
    largest(
      lessLocalLine(
        of((i) => 5 - 0.3 * i),
        10,
      ),
    ),
  ).toBeLessThan(1e-9);
});

it("leaves what is fast and takes out what is slow", () => {
  // A bell of the standard deviation s passes exp(-(2 pi f s)^2 / 2) of the frequency f.
  const fast = lessLocalLine(
    of((i) => Math.sin(i)),
    10,
  ).subarray(40, 160);
  const slow = lessLocalLine(
    of((i) => Math.sin(i / 200)),
    10,
  ).subarray(40, 160);
  expect(largest(fast)).toBeGreaterThan(0.99);
  expect(largest(slow)).toBeLessThan(0.002);
});
