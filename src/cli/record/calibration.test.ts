import { expect, it } from "@jest/globals";
import { calibrationReportOf } from "./calibration.js";

it("shows each quantity's bias with the digits that its uncertainty supports", () => {
  const items = [
    {
      quantity: "power",
      biasPercent: 1.2345,
      expandedUncertaintyPercent: 0.4321,
      packs: 3,
      others: 4,
      summary: "You read 1.2 % high.",
    },
  ];
  expect(calibrationReportOf(items).split("\n")).toEqual([
    "quantity  bias [%]    packs  others  in words",
    "power     1.2 +- 0.4  3      4       You read 1.2 % high.",
    "Above zero you read high; +- U, about 95 %. No value is corrected by this.",
  ]);
});

it("says so where nobody else has measured the same packs", () => {
  expect(calibrationReportOf([])).toMatch(/^Nobody else/);
});
