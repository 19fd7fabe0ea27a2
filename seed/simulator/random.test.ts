import { expect, test } from "@jest/globals";
import { createRandom } from "./random.js";

const draw = (count: number, next: () => number) => Array.from({ length: count }, next);
const mean = (values: number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;

test("one seed gives one stream, another seed another", () => {
  const [a, b, c] = [createRandom(5), createRandom(5), createRandom(6)].map((random) => draw(50, random.uniform));
  expect(a).toEqual(b);
  expect(a).not.toEqual(c);
  expect(() => createRandom(0)).toThrow(RangeError);
});

test("uniform numbers have mean 1/2, variance 1/12 and no lag-one correlation, within 4 standard errors", () => {
  const u = draw(40_000, createRandom(11).uniform);
  expect(Math.min(...u.slice(0, 1000))).toBeGreaterThan(0);
  expect(Math.abs(mean(u) - 0.5)).toBeLessThan(4 * Math.sqrt(1 / 12 / 40_000));
  expect(Math.abs(mean(u.map((x) => (x - 0.5) ** 2)) - 1 / 12)).toBeLessThan(4 * Math.sqrt(1 / 180 / 40_000));
  const products = u.slice(1).map((x, i) => (x - 0.5) * ((u[i] as number) - 0.5));
  expect(Math.abs(mean(products))).toBeLessThan(4 / 12 / Math.sqrt(40_000));
});

test("Gaussian numbers have mean 0, variance 1 and 4.55 % beyond two standard deviations", () => {
  const g = draw(40_000, createRandom(12).gaussian);
  expect(Math.abs(mean(g))).toBeLessThan(4 / Math.sqrt(40_000));
  expect(Math.abs(mean(g.map((x) => x * x)) - 1)).toBeLessThan(4 * Math.sqrt(2 / 40_000));
  expect(mean(g.map((x) => (Math.abs(x) > 2 ? 1 : 0)))).toBeCloseTo(0.0455, 2);
});
