import { expect, test } from "@jest/globals";
import { findingOf } from "../../../../test/support/run-under-test.js";

test.each([
  [0, "pass"],
  [0.5, "pass"],
  [-0.5, "pass"],
  [0.51, "fail"],
  [-0.51, "fail"],
] as const)("an offset of %d A subtracted under 100 A: %s", (offsetA, outcome) => {
  expect(findingOf("current-offset", { run: { zero: { offsetA, samples: 20, subtracted: true } } }).outcome).toBe(
    outcome,
  );
});

test("an offset that was not subtracted is left to the rule on the zero", () => {
  expect(findingOf("current-offset", { run: { zero: { offsetA: 5, samples: 20, subtracted: false } } })).toMatchObject({
    outcome: "not-assessable",
    observed: null,
  });
});
