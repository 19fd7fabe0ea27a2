import { expect, test } from "@jest/globals";
import { findingOf } from "../../../../test/support/run-under-test.js";

test.each([
  [0, "pass"],
  [1, "fail"],
] as const)("%d rows whose time does not rise: %s", (count, outcome) => {
  expect(findingOf("time-rises", { samples: { unordered: { count, first: { line: 7 } } } }).outcome).toBe(outcome);
});
