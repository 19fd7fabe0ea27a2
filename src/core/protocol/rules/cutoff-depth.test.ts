import { expect, test } from "@jest/globals";
import { findingOf } from "../../../../test/support/run-under-test.js";

test.each([
  [0, "pass"],
  [3, "pass"],
  [3.1, "fail"],
] as const)("%d s of load after the cutoff: %s", (clippedS, outcome) => {
  expect(findingOf("cutoff-depth", { run: { clippedS } }).outcome).toBe(outcome);
});

test("a run that did not reach the cutoff has no depth", () => {
  expect(findingOf("cutoff-depth", { stop: { cutoffS: null } })).toMatchObject({
    outcome: "not-assessable",
    observed: null,
  });
});
