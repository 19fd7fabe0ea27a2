import { expect, test } from "@jest/globals";
import { findingOf } from "../../../../test/support/run-under-test.js";

test.each([
  [15, "pass"],
  [35, "pass"],
  [14.9, "fail"],
  [35.1, "fail"],
] as const)("surroundings at %d degC: %s", (ambientC, outcome) => {
  expect(findingOf("ambient-temperature", { conditions: { ambientC } }).outcome).toBe(outcome);
});

test("undeclared surroundings cannot be assessed", () => {
  expect(findingOf("ambient-temperature", { conditions: { ambientC: null } })).toMatchObject({
    outcome: "not-assessable",
    observed: null,
  });
});
