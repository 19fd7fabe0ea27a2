import { expect, test } from "@jest/globals";
import { findingOf } from "../../../../test/support/run-under-test.js";

test.each([
  [0, "pass"],
  [1, "fail"],
] as const)("%d spiked samples that were not mended: %s", (count, outcome) => {
  const left = { count, first: { line: 7 } };
  expect(findingOf("spikes", { run: { spikes: { mended: [], left } } }).outcome).toBe(outcome);
});
