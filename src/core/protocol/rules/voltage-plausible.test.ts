import { expect, test } from "@jest/globals";
import { findingOf, runUnderTest } from "../../../../test/support/run-under-test.js";

const { trace } = runUnderTest().run;
const withOneReading = (volts: number, at: number) => ({
  run: { trace: { ...trace, voltage: trace.voltage.with(at, volts) } },
});

// 2.5 V to 4.25 V per cell with a tolerance of 0.05 V: 9.8 V to 17.2 V for 4 cells (common practice, no published source).
test.each([
  [17.19, "pass"],
  [17.21, "fail"],
  [9.81, "pass"],
  [9.79, "fail"],
  [-1, "fail"],
] as const)("a single reading of %d V: %s", (volts, outcome) => {
  const finding = findingOf("voltage-plausible", withOneReading(volts, 300));
  expect(finding.outcome).toBe(outcome);
  expect(finding.observed).toBeCloseTo(volts / 4, 9);
});

test("the rest before the load counts, what follows the end of reading does not", () => {
  expect(findingOf("voltage-plausible", withOneReading(18, 0)).outcome).toBe("fail");
  const early = { stop: { cutoffS: 50, endS: 50 } };
  expect(findingOf("voltage-plausible", { ...withOneReading(5, 600), ...early }).outcome).toBe("pass");
});

test("a pack registered with other cells is found out", () => {
  expect(findingOf("voltage-plausible", { pack: { series: 3 } }).outcome).toBe("fail");
  expect(findingOf("voltage-plausible", { pack: { chemistry: "lifepo4" } }).outcome).toBe("fail");
});
