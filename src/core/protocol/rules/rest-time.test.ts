import { expect, test } from "@jest/globals";
import { findingOf } from "../../../../test/support/run-under-test.js";

test.each([
  [30, "pass"],
  [10, "pass"],
  [9.9, "fail"],
] as const)("%d min of rest: %s", (restMinutes, outcome) => {
  expect(findingOf("rest-time", { conditions: { restMinutes } }).outcome).toBe(outcome);
});

test("an undeclared rest", () => {
  expect(findingOf("rest-time", { conditions: { restMinutes: null } })).toMatchObject({
    outcome: "not-assessable",
    observed: null,
  });
});
