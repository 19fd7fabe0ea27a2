import { expect, test } from "@jest/globals";
import { findingOf } from "../../../../test/support/run-under-test.js";

test.each([
  [0, "pass"],
  [10, "pass"],
  [11, "fail"],
] as const)("%d rows without a number beside 1021 samples: %s", (count, outcome) => {
  expect(findingOf("rows-usable", { samples: { unusable: { count, first: { line: 7 } } } }).outcome).toBe(outcome);
});
