import { expect, test } from "@jest/globals";
import { findingOf } from "../../../../test/support/run-under-test.js";

test.each([
  [0.7, "pass"],
  [1.4, "pass"],
  [0.69, "fail"],
  [1.41, "fail"],
] as const)("a reference load that would draw %d times the current: %s", (ratio, outcome) => {
  expect(findingOf("load-level", { ratio }).outcome).toBe(outcome);
});

test("a run that cannot be set against the reference load", () => {
  expect(findingOf("load-level", { ratio: null })).toMatchObject({ outcome: "not-assessable", observed: null });
});
