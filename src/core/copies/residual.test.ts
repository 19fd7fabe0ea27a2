import { expect, it } from "@jest/globals";
import { instants, traceOf } from "../../../test/support/traces.js";
import { cellMeans, loadedStretch, smoothed, standardised, subtract } from "./residual.js";

it("the loaded stretch runs from the first to the last sample at half of the typical current", () => {
  const trace = traceOf(instants(-2, 12, 10), { volts: () => 15, amperes: (t) => (t >= 0 && t < 10 ? 100 : 0) });
  const { fromS, toS, stepS } = loadedStretch(trace);
  expect(fromS).toBeCloseTo(0, 9);
  expect(toS).toBeCloseTo(9.9, 9);
  expect(stepS).toBeCloseTo(0.1, 9);
});

it("cell means are those of the straight lines between samples, whatever the rate of sampling", () => {
  const course = (t: number) => 3 * t - 7;
  for (const rate of [0.7, 4, 33]) {
    const time = instants(0, 20, rate);
    const { startS, values } = cellMeans(time, time.map(course), 1, 15, 0.5);
    expect(values).toHaveLength(28);
    for (const [i, value] of values.entries()) expect(value).toBeCloseTo(course(startS + i * 0.5), 9);
  }
});

it("a mean over a bent line counts each piece by its length", () => {
  const { values } = cellMeans(Float64Array.of(0, 1, 3), Float64Array.of(0, 2, 0), 0, 3, 3);
  expect(values[0]).toBeCloseTo(1, 12);
});

it("a trend taken out twice leaves nothing of a cubic course", () => {
  const grid = { startS: 0, stepS: 0.1, values: instants(0, 30, 10).map((t) => 5 - t + 0.3 * t * t - 0.01 * t ** 3) };
  const once = subtract(grid, smoothed(grid, 6));
  const twice = subtract(once, smoothed(once, 6));
  expect(twice.startS).toBeCloseTo(3.6, 9);
  for (const value of twice.values) expect(Math.abs(value)).toBeLessThan(1e-9);
});

it("standardised values have the median magnitude of a normal deviate, 0.6745; what has no noise has none", () => {
  const channel = Float64Array.of(15, 15, 15, 15);
  expect(standardised(Float64Array.of(-1e-3, 1e-3, 1e-3, -1e-3), channel)?.[1]).toBeCloseTo(0.6745, 4);
  expect(standardised(Float64Array.of(-1e-15, 1e-15, 1e-15, -1e-15), channel)).toBeNull();
  expect(standardised(new Float64Array(4), channel)).toBeNull();
});
