import { expect, test } from "@jest/globals";
import { findingOf } from "../../../../test/support/run-under-test.js";

test.each([
  [15, "pass"],
  [35, "pass"],
  [14.9, "fail"],
  [35.1, "fail"],
] as const)("%d degC at onset: %s", (startTemperatureC, outcome) => {
  expect(findingOf("start-temperature", { run: { startTemperatureC } }).outcome).toBe(outcome);
});

test("a log without temperature", () => {
  expect(findingOf("start-temperature", { run: { startTemperatureC: null } })).toMatchObject({
    outcome: "not-assessable",
    observed: null,
  });
});
