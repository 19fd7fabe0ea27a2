import { expect, test } from "@jest/globals";
import { randomOf } from "./random.js";

const DRAWS = 20_000;
const drawn = (draw: () => number) => Array.from({ length: DRAWS }, draw);
const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;

test("a name decides the stream", () => {
  const first = randomOf("pack 1");
  const again = randomOf("pack 1");
  const other = randomOf("pack 2");
  const [a, b, c] = [first, again, other].map((random) => Array.from({ length: 5 }, () => random.uniform()));
  expect(a).toEqual(b);
  expect(a).not.toEqual(c);
});

// Moments of the distributions: 1/2 and 1/12; 0, 1 and kurtosis 3. Limits are five standard deviations of their estimates.
test("uniform and normal numbers have the moments of their distributions", () => {
  const random = randomOf("moments");
  const uniform = drawn(() => random.uniform());
  expect(Math.abs(mean(uniform) - 0.5)).toBeLessThan(5 / Math.sqrt(12 * DRAWS));
  expect(Math.abs(mean(uniform.map((u) => (u - 0.5) ** 2)) - 1 / 12)).toBeLessThan(5 / Math.sqrt(180 * DRAWS));
  const normal = drawn(() => random.normal());
  expect(Math.abs(mean(normal))).toBeLessThan(5 / Math.sqrt(DRAWS));
  expect(Math.abs(mean(normal.map((x) => x * x)) - 1)).toBeLessThan(5 * Math.sqrt(2 / DRAWS));
  expect(Math.abs(mean(normal.map((x) => x ** 4)) - 3)).toBeLessThan(5 * Math.sqrt(96 / DRAWS));
});

test("every number of a logarithmic range is within it, and as many lie below its geometric mean as above", () => {
  const random = randomOf("ratios");
  const ratios = drawn(() => random.logBetween(1, 100));
  expect(Math.min(...ratios)).toBeGreaterThanOrEqual(1);
  expect(Math.max(...ratios)).toBeLessThanOrEqual(100);
  expect(Math.abs(ratios.filter((ratio) => ratio < 10).length / DRAWS - 0.5)).toBeLessThan(5 / Math.sqrt(4 * DRAWS));
});
