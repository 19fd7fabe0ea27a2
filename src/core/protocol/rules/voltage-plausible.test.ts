import { expect, test } from "@jest/globals";
import { ruleCases } from "../../../../test/support/rule-cases.js";
import { findingOf, runUnderTest } from "../../../../test/support/run-under-test.js";

const withVolts = (volts: number) => {
  const { trace } = runUnderTest().run;
  return { ...trace, voltage: trace.voltage.map((value, i) => (i === 300 || i === 301 ? volts : value)) };
};

ruleCases("voltage-plausible", {
  passing: { "a pack between full and empty": {} },
  failing: {
    "a pack of fewer cells": { pack: { series: 3 } },
    "a pack of another chemistry": { pack: { chemistry: "lifepo4" } },
  },
  boundary: {
    "2.45 V a cell": [{ run: { trace: withVolts(9.81) } }, { run: { trace: withVolts(9.79) } }],
    "4.3 V a cell": [{ run: { trace: withVolts(17.19) } }, { run: { trace: withVolts(17.21) } }],
  },
  notAssessable: "never",
});

const { trace, samples } = runUnderTest().run;
const changed = (values: Float64Array, volts: number, at: readonly number[]) =>
  at.reduce((changes, i) => changes.with(i, volts), values);
const withReadings = (volts: number, at: readonly number[]) => ({
  run: { trace: { ...trace, voltage: changed(trace.voltage, volts, at) } },
});

// 2.5 V to 4.25 V per cell with a tolerance of 0.05 V: 9.8 V to 17.2 V for 4 cells (common practice, no published source).
test.each([
  [17.19, "pass"],
  [17.21, "fail"],
  [9.81, "pass"],
  [9.79, "fail"],
  [-1, "fail"],
] as const)("two readings of %d V: %s", (volts, outcome) => {
  const finding = findingOf("voltage-plausible", withReadings(volts, [300, 301]));
  expect(finding.outcome).toBe(outcome);
  expect(finding.observed).toBeCloseTo(volts / 4, 9);
});

test("a single spiked reading is no finding", () => {
  expect(findingOf("voltage-plausible", withReadings(0, [300])).outcome).toBe("pass");
});

test("the last second of rest counts; a pack not connected yet, and what follows the end of reading, do not", () => {
  expect(findingOf("voltage-plausible", withReadings(18, [15, 16])).outcome).toBe("fail");
  expect(findingOf("voltage-plausible", withReadings(0, [0, 1, 2, 3])).outcome).toBe("pass");
  const early = { stop: { cutoffS: 50, endS: 50 } };
  expect(findingOf("voltage-plausible", { ...withReadings(5, [600, 601]), ...early }).outcome).toBe("pass");
});

test("a pack registered with other cells is found out", () => {
  expect(findingOf("voltage-plausible", { pack: { series: 3 } }).outcome).toBe("fail");
  expect(findingOf("voltage-plausible", { pack: { chemistry: "lifepo4" } }).outcome).toBe("fail");
});

test.each([
  [2.46, "pass"],
  [2.44, "fail"],
  [1.5, "fail"],
] as const)("a lowest cell at %d V under load: %s", (volts, outcome) => {
  const cells = samples.cells.map((cell, i) => (i === 0 ? changed(cell, volts, [900, 901, 902]) : cell));
  expect(findingOf("cell-voltage-plausible", { samples: { cells } }).outcome).toBe(outcome);
});

test("without logged cells, nothing is said of them", () => {
  expect(findingOf("cell-voltage-plausible", { samples: { cells: [] } }).outcome).toBe("not-assessable");
});
