import { expect, test } from "@jest/globals";
import { ruleCases } from "../../../../test/support/rule-cases.js";
import { findingOf } from "../../../../test/support/run-under-test.js";

ruleCases("largest-gap", {
  passing: { "a log without gaps": { run: { largestGap: { seconds: 0.1, fromS: 12 } } } },
  failing: { "a gap of 20 s": { run: { largestGap: { seconds: 20, fromS: 12 } } } },
  boundary: {
    "1 s": [{ run: { largestGap: { seconds: 1, fromS: 12 } } }, { run: { largestGap: { seconds: 1.001, fromS: 12 } } }],
  },
  notAssessable: "never",
});

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

test.each([
  [1.1, /readings repeat.*Log each reading once, or set the meter faster\.$/],
  [8, /Check the storage and the connection of the logger/],
])("of readings that come once a second, %d s without one is told by its cause", (seconds, cause) => {
  const repeats = { intervalS: 1, voltageS: 1, currentS: 1, rowS: 0.1, leftOut: 900 };
  const run = { largestGap: { seconds, fromS: 12 }, repeats };
  expect(findingOf("largest-gap", { run }).message).toMatch(cause);
});
