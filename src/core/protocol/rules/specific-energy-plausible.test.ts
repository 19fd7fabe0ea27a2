import { expect, test } from "@jest/globals";
import { findingOf } from "../../../../test/support/run-under-test.js";

test.each([
  ["lipo", 230, "pass"],
  ["lipo", 231, "fail"],
  ["lihv", 240, "pass"],
  ["lihv", 241, "fail"],
  ["liion", 280, "pass"],
  ["liion", 281, "fail"],
  ["lifepo4", 170, "pass"],
  ["lifepo4", 171, "fail"],
] as const)("%s with %d Wh/kg: %s", (chemistry, whPerKg, outcome) => {
  expect(
    findingOf("specific-energy-plausible", { pack: { chemistry }, figures: { "specific-energy": whPerKg } }).outcome,
  ).toBe(outcome);
});

test("a pack of unknown mass", () => {
  expect(findingOf("specific-energy-plausible", { figures: { "specific-energy": null } }).outcome).toBe(
    "not-assessable",
  );
});
