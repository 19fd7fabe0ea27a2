import { expect, it } from "@jest/globals";
import { NaturalSpline } from "./spline.js";

const at = (spline: NaturalSpline, values: readonly number[], x: number) => {
  const row = spline.newRow();
  spline.weigh(x, row);
  const sum = (weights: Float64Array) => weights.reduce((all, weight, i) => all + weight * (values[i] as number), 0);
  return { value: sum(row.value), slope: sum(row.slope) };
};

// The second derivatives at the inner knots of 0, 1, 0, 1 at 0, 1, 2, 3 solve 4 a + b = -12, a + 4 b = 12: a = -4, b = 4.
it("is the natural cubic of a worked example", () => {
  const spline = new NaturalSpline([0, 1, 2, 3]);
  const values = [0, 1, 0, 1];
  expect(at(spline, values, 0.5).value).toBeCloseTo(0.5 - (-4 / 6) * 0.5 * 0.75, 12);
  expect(at(spline, values, 1.5).value).toBeCloseTo(0.5, 12);
  expect(at(spline, values, 2).value).toBeCloseTo(0, 12);
});

it("is straight beyond its ends, and everywhere through values on a line", () => {
  const spline = new NaturalSpline([0, 0.1, 0.5, 1]);
  const line = [1, 0.8, 0, -1];
  for (const x of [-0.3, 0, 0.07, 0.6, 1, 1.4]) {
    expect(at(spline, line, x).value).toBeCloseTo(1 - 2 * x, 12);
    expect(at(spline, line, x).slope).toBeCloseTo(-2, 12);
  }
});

it("gives the slope of its values", () => {
  const spline = new NaturalSpline([0, 0.2, 0.5, 0.9, 1]);
  const values = [4.2, 4, 3.8, 3.6, 3.2];
  for (const x of [0.1, 0.35, 0.97]) {
    const step = 1e-6;
    const difference = (at(spline, values, x + step).value - at(spline, values, x - step).value) / (2 * step);
    expect(at(spline, values, x).slope).toBeCloseTo(difference, 6);
  }
});
