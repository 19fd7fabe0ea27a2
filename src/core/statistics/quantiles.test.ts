import { describe, expect, it } from "@jest/globals";
import { fisherQuantile, studentQuantile } from "./quantiles.js";

const relativeError = (value: number, expected: number) => Math.abs(value / expected - 1);
const PROBABILITIES = [0.9, 0.95, 0.975, 0.977249868051821, 0.995, 0.9975, 0.999, 0.9999];

describe("quantiles of Student's t", () => {
  // Closed forms of the distribution function, inverted: one degree of freedom is Cauchy's distribution.
  it.each(PROBABILITIES)("are the closed forms for one, two and four degrees of freedom at %f", (p) => {
    expect(relativeError(studentQuantile(p, 1), Math.tan(Math.PI * (p - 0.5)))).toBeLessThan(1e-7);
    const spread = 4 * p * (1 - p);
    expect(relativeError(studentQuantile(p, 2), (2 * (2 * p - 1)) / Math.sqrt(2 * spread))).toBeLessThan(1e-7);
    const root = Math.sqrt(spread);
    const four = 2 * Math.sqrt(Math.cos(Math.acos(root) / 3) / root - 1);
    expect(relativeError(studentQuantile(p, 4), four)).toBeLessThan(1e-7);
  });

  // NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2 (from memory).
  it.each([
    [0.95, 3, 2.353],
    [0.975, 5, 2.571],
    [0.975, 10, 2.228],
    [0.995, 30, 2.75],
    [0.999, 100, 3.174],
  ])("are those of the handbook's table at %f with %i degrees of freedom", (p, freedom, tabulated) => {
    expect(studentQuantile(p, freedom)).toBeCloseTo(tabulated, 3);
  });

  it("grow from broken degrees of freedom to the normal distribution's", () => {
    const values = [0.2, 0.5, 1, 1.3, 2.7, 5.1, 17.3, 100, 1e4, 1e6].map((f) => studentQuantile(0.977249868051821, f));
    expect(values).toEqual([...values].sort((a, b) => b - a));
    expect(values.at(-1)).toBeCloseTo(2, 5);
  });
});

describe("quantiles of Fisher's F", () => {
  // Closed forms: with two degrees of freedom above the line the distribution function is 1 - (1 + 2 F / n)^(-n / 2).
  it.each(PROBABILITIES.flatMap((p) => [1, 2, 3, 7, 40, 400].map((n) => [p, n] as const)))(
    "are the closed form for two degrees of freedom above the line at %f with %i below",
    (p, n) => {
      const expected = (n / 2) * ((1 - p) ** (-2 / n) - 1);
      expect(relativeError(fisherQuantile(p, 2, n), expected)).toBeLessThan(1e-6);
    },
  );

  it.each(PROBABILITIES.flatMap((p) => [1, 2, 5, 30].map((n) => [p, n] as const)))(
    "are the square of Student's t for one degree of freedom above the line at %f with %i below",
    (p, n) => {
      expect(relativeError(fisherQuantile(p, 1, n), studentQuantile((1 + p) / 2, n) ** 2)).toBeLessThan(1e-6);
    },
  );

  // NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.3 (from memory).
  it.each([
    [0.95, 5, 10, 3.326],
    [0.95, 10, 20, 2.348],
    [0.99, 4, 12, 5.412],
  ])("are those of the handbook's table at %f with %i and %i degrees of freedom", (p, above, below, tabulated) => {
    expect(fisherQuantile(p, above, below)).toBeCloseTo(tabulated, 3);
  });
});
