import { expect, test } from "@jest/globals";
import { findingOf } from "../../../../test/support/run-under-test.js";

test.each([
  [0.3, "pass"],
  [1.15, "pass"],
  [0.299, "fail"],
  [1.151, "fail"],
] as const)("a delivered share of the rated capacity of %d: %s", (share, outcome) => {
  expect(findingOf("capacity-plausible", { figures: { "capacity-share": share } }).outcome).toBe(outcome);
});

test("the capacity of a run that ended early is a bound and is not judged", () => {
  expect(
    findingOf("capacity-plausible", { stop: { cutoffS: null }, figures: { "capacity-share": 0.1 } }),
  ).toMatchObject({ outcome: "not-assessable", observed: null });
});
