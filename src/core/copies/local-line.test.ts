import { expect, it } from "@jest/globals";
import { createRandom } from "../../../seed/simulator/random.js";
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

// The straight line by weighted least squares, by its normal equations (common knowledge of regression, from memory).
it.each([40, 61, 62, 63, 64, 90])(
  "is what each of %s values has beyond the weighted line through its neighbours",
  (length) => {
    const deviation = 10;
    const random = createRandom(length);
    const values = of(() => random.gaussian(), length);
    const expected = values.map((value, i) => {
      let [w, wx, wxx, wy, wxy] = [0, 0, 0, 0, 0];
      for (let at = Math.max(0, i - 3 * deviation); at <= Math.min(length - 1, i + 3 * deviation); at++) {
        const x = at - i;
        const weight = Math.exp(-0.5 * (x / deviation) ** 2);
        w += weight;
        wx += weight * x;
        wxx += weight * x * x;
        wy += weight * (values[at] as number);
        wxy += weight * x * (values[at] as number);
      }
      return value - (wxx * wy - wx * wxy) / (w * wxx - wx * wx);
    });
    const found = lessLocalLine(values, deviation);
    expect(largest(found.map((value, i) => value - (expected[i] as number)))).toBeLessThan(1e-12);
  },
);
