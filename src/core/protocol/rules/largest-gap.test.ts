import { expect, test } from "@jest/globals";
import { findingOf } from "../../../../test/support/run-under-test.js";

test.each([
  [0.1, "pass"],
  [1, "pass"],
  [1.01, "fail"],
] as const)("%d s without a sample: %s", (seconds, outcome) => {
  expect(findingOf("largest-gap", { run: { largestGap: { seconds, fromS: 12 } } }).outcome).toBe(outcome);
});

test("the gap is named with its place", () => {
  const { span, observed } = findingOf("largest-gap", { run: { largestGap: { seconds: 2, fromS: 12 } } });
  expect([observed, span]).toEqual([2, { fromS: 12, toS: 14 }]);
});
