import { expect, test } from "@jest/globals";
import { findingOf } from "../../../../test/support/run-under-test.js";

test.each([
  [10, "pass"],
  [5, "pass"],
  [4.95, "pass"],
  [4.94, "fail"],
] as const)("%d Hz: %s", (rateHz, outcome) => {
  expect(
    findingOf("sampling-rate", {
      run: { summary: { samples: 1000, rateHz, durationS: 100, cutoffS: 100, stop: "cutoff" } },
    }).outcome,
  ).toBe(outcome);
});
