import { expect, test } from "@jest/globals";
import { findingOf } from "../../../../test/support/run-under-test.js";

test.each([
  [20, "pass"],
  [0.001, "pass"],
  [0, "fail"],
  [-3, "fail"],
] as const)("%d mohm at 10 s: %s", (milliohm, outcome) => {
  expect(findingOf("resistance-positive", { figures: { "resistance-10s": milliohm } }).outcome).toBe(outcome);
});

test("a run without a resistance", () => {
  expect(findingOf("resistance-positive", { figures: { "resistance-10s": null } })).toMatchObject({
    outcome: "not-assessable",
    observed: null,
  });
});
