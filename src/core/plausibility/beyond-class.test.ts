import { expect, it } from "@jest/globals";
import { createRandom } from "../../../seed/simulator/random.js";
import { classLimit } from "./beyond-class.js";

it("is a tenth past the best, or four robust deviations from the middle, whichever is farther", () => {
  // 8 values alike: the least spread of 5 % of a logarithm, four times.
  expect(classLimit(new Array(8).fill(10), "higher")).toBeCloseTo(10 * Math.exp(0.2), 6);
  expect(classLimit(new Array(8).fill(10), "lower")).toBeCloseTo(10 * Math.exp(-0.2), 6);
  expect(classLimit([...new Array(9).fill(10), 20], "higher")).toBeCloseTo(22, 6);
});

it("says nothing of a class of seven", () => {
  expect(classLimit(new Array(7).fill(10), "lower")).toBeNull();
});

it("holds one more pack of a class to be beyond it in fewer than 1 of 200 draws", () => {
  const random = createRandom(11);
  const value = () => 6 * Math.exp(0.3 * random.gaussian());
  const draws = 4000;
  let beyond = 0;
  for (let i = 0; i < draws; i++) {
    const limit = classLimit(Array.from({ length: 8 + (i % 30) }, value), "lower") as number;
    if (value() < limit) beyond++;
  }
  expect(beyond / draws).toBeLessThan(0.005);
});
