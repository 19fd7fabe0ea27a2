import { expect, it } from "@jest/globals";
import { lessParabola, parabolaWeights } from "./parabola.js";

it.each([
  [3, 21, [-2, 3, 6, 7, 6, 3, -2]],
  [6, 143, [-11, 0, 9, 16, 21, 24, 25, 24, 21, 16, 9, 0, -11]],
])("the weights with %d neighbours on each side are those published", (neighbours, norm, published) => {
  // A. Savitzky and M. J. E. Golay, Analytical Chemistry 36 (1964) 1627, table I (from memory).
  const weights = parabolaWeights(neighbours);
  expect(weights).toHaveLength(published.length);
  for (const [i, weight] of published.entries()) expect(weights[i]).toBeCloseTo(weight / norm, 12);
});

it("nothing of a parabola is left, and what is added to its middle subtract the middle's own weight", () => {
  const values = Float64Array.from({ length: 9 }, (_, i) => 15 - 0.3 * i + 0.02 * i * i);
  const weights = parabolaWeights(3);
  expect(lessParabola(values, 1, weights)).toBeCloseTo(0, 12);
  values[4] = (values[4] as number) + 1;
  expect(lessParabola(values, 1, weights)).toBeCloseTo(1 - 7 / 21, 12);
});
