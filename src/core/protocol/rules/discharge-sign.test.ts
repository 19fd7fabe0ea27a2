import { expect, test } from "@jest/globals";
import { findingOf } from "../../../../test/support/run-under-test.js";

test.each([
  [false, "pass"],
  [true, "fail"],
] as const)("turned is %p: %s", (turned, outcome) => {
  expect(findingOf("discharge-sign", { samples: { turned } }).outcome).toBe(outcome);
});

test("a turned current is shown as the log has it", () => {
  expect(findingOf("discharge-sign", { samples: { turned: true } }).observed).toBe(-100);
});
