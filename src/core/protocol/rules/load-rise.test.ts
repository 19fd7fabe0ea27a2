import { expect, test } from "@jest/globals";
import { findingOf } from "../../../../test/support/run-under-test.js";

test.each([
  [0.2, "pass"],
  [1, "pass"],
  [1.01, "fail"],
] as const)("a rise in %d s: %s", (riseS, outcome) => {
  expect(findingOf("load-rise", { run: { riseS } }).outcome).toBe(outcome);
});

test("a log that begins under load", () => {
  expect(findingOf("load-rise", { run: { riseS: null } })).toMatchObject({ outcome: "not-assessable", observed: null });
});
