import { expect, test } from "@jest/globals";
import { findingOf } from "../../../../test/support/run-under-test.js";

test.each([
  [0, "pass"],
  [0.0073, "pass"],
  [0.0075, "fail"],
] as const)("a drop over %d ohm at 100 A from a nominal 14.8 V: %s", (senseOhm, outcome) => {
  expect(findingOf("sense-known", { run: { senseOhm } }).outcome).toBe(outcome);
});

test("leads of unknown resistance", () => {
  expect(findingOf("sense-known", { run: { senseOhm: null } })).toMatchObject({
    outcome: "not-assessable",
    observed: null,
  });
});
