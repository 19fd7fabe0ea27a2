import { expect, test } from "@jest/globals";
import { findingOf } from "../../../../test/support/run-under-test.js";

test.each([
  [45, "pass", "pass"],
  [60, "pass", "pass"],
  [60.1, "fail", "pass"],
  [70, "fail", "pass"],
  [70.1, "fail", "fail"],
] as const)("a pack that reaches %d degC: warning %s, limit %s", (highestTemperatureC, warning, limit) => {
  expect(findingOf("temperature-warning", { highestTemperatureC }).outcome).toBe(warning);
  expect(findingOf("temperature-limit", { highestTemperatureC }).outcome).toBe(limit);
});

test.each(["temperature-warning", "temperature-limit"])("a log without temperature: %s", (rule) => {
  expect(findingOf(rule, { highestTemperatureC: null }).outcome).toBe("not-assessable");
});
