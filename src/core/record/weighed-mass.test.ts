import { expect, test } from "@jest/globals";
import { contradicts, weighedMass } from "./weighed-mass.js";

const by = (testerId: string, ...masses: number[]) => masses.map((grams) => ({ testerId, grams }));

test("the mass of a pack is the median of testers, however many specimens one of them weighs", () => {
  const weighings = [...by("a", 545), ...by("b", 551), ...by("c", 270, 270, 270, 270)];
  expect(weighedMass(weighings, 2)).toEqual({ grams: 545, testers: 3 });
  expect(weighedMass(weighings.toReversed(), 2)).toEqual({ grams: 545, testers: 3 });
  expect(weighedMass([...by("a", 540, 550, 900), ...by("b", 553.26)], 2)).toEqual({ grams: 551.6, testers: 2 });
});

test("is unknown where fewer testers weighed it than the policy asks for", () => {
  expect(weighedMass([], 1)).toBeNull();
  expect(weighedMass(by("a", 545, 546), 2)).toBeNull();
  expect(weighedMass(by("a", 545), 1)).toEqual({ grams: 545, testers: 1 });
});

test("what is registered is contradicted beyond half a per cent, either way, and where it is missing", () => {
  const weighed = { grams: 500, testers: 2 };
  expect([null, 497, 497.5, 502.5, 503, 250].map((registered) => contradicts(registered, weighed))).toEqual([
    true,
    true,
    false,
    false,
    true,
    true,
  ]);
});
