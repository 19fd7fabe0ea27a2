import { expect, it } from "@jest/globals";
import { normalProbability } from "./normal-probability.js";

// Table 26.1 of Abramowitz and Stegun, Handbook of Mathematical Functions (1964), to the digits that are remembered (from memory).
it.each([
  [0, 0.5],
  [1, 0.8413447],
  [1.96, 0.9750021],
  [-2, 0.0227501],
  [3, 0.9986501],
])("gives the tabulated probability below %p", (x, probability) => {
  expect(normalProbability(x)).toBeCloseTo(probability, 6);
});

it("is certain at infinity", () => {
  expect([normalProbability(Number.NEGATIVE_INFINITY), normalProbability(Number.POSITIVE_INFINITY)]).toEqual([0, 1]);
});
