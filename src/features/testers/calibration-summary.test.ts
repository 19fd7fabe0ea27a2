import { expect, it } from "@jest/globals";
import { summaryOf } from "./calibration-summary.js";

const calibration = (biasPercent: number, packs: number, others: number) =>
  summaryOf({ quantity: "power", biasPercent, packs, others, expandedUncertaintyPercent: 2.7 });

it.each([
  [1.44, 3, 2, "Your power reads 1.4 +- 2.7 % high against 3 packs measured by 2 others."],
  [-1.44, 1, 1, "Your power reads 1.4 +- 2.7 % low against 1 pack measured by 1 other."],
  [-0.04, 1, 1, "Your power reads the same within +- 2.7 % against 1 pack measured by 1 other."],
])("a calibration is said in one sentence: %d %%", (bias, packs, others, sentence) => {
  expect(calibration(bias, packs, others)).toBe(sentence);
});
