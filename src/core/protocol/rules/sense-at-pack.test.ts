import { expect, test } from "@jest/globals";
import { findingOf } from "../../../../test/support/run-under-test.js";

test.each([
  [0, "pass"],
  [0.001, "fail"],
] as const)("%d ohm before the sense point: %s", (senseOhm, outcome) => {
  expect(findingOf("sense-at-pack", { run: { senseOhm } }).outcome).toBe(outcome);
});

test("leads of unknown resistance", () => {
  expect(findingOf("sense-at-pack", { run: { senseOhm: null } })).toMatchObject({
    outcome: "not-assessable",
    observed: null,
  });
});
