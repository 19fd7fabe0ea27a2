import { expect, test } from "@jest/globals";
import { findingOf } from "../../../../test/support/run-under-test.js";

test.each([
  [0, "pass"],
  [1, "fail"],
] as const)("%d repeated rows: %s", (count, outcome) => {
  expect(findingOf("duplicate-rows", { samples: { duplicates: { count, first: { line: 7 } } } }).outcome).toBe(outcome);
});
