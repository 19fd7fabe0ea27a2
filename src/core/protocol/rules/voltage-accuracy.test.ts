import { expect, test } from "@jest/globals";
import { ruleCases } from "../../../../test/support/rule-cases.js";
import { findingOf } from "../../../../test/support/run-under-test.js";

ruleCases("voltage-accuracy", {
  passing: { "0.1 % + 5 mV": { bench: { voltage: { percent: 0.1, offset: 0.005 } } } },
  failing: {
    "1 %": { bench: { voltage: { percent: 1, offset: 0 } } },
    "an instrument without error": { bench: { voltage: { percent: 0, offset: 0 } } },
  },
  boundary: {
    "0.5 % + 20 mV at 14.5 V": [
      { bench: { voltage: { percent: 0, offset: 0.0925 } } },
      { bench: { voltage: { percent: 0, offset: 0.0926 } } },
    ],
    "the least that is believable": [
      { bench: { voltage: { percent: 0.005, offset: 0 } } },
      { bench: { voltage: { percent: 0.0049, offset: 0 } } },
    ],
  },
  notAssessable: "never",
});

// At 14.5 V the protocol allows 0.5 % + 20 mV = 92.5 mV, at 100 A 2 % + 0.5 A = 2.5 A.
test.each([
  [0.1, 0.005, "pass"],
  [0, 0.0925, "pass"],
  [0, 0.0926, "fail"],
  [0.65, 0, "fail"],
  [0, 0, "fail"],
  [0.004, 0, "fail"],
  [0.006, 0, "pass"],
] as const)("a voltmeter within %d % + %d V: %s", (percent, offset, outcome) => {
  expect(findingOf("voltage-accuracy", { bench: { voltage: { percent, offset } } }).outcome).toBe(outcome);
});

test.each([
  [0.5, 0.1, "pass"],
  [2.5, 0, "pass"],
  [2.51, 0, "fail"],
  [0, 2.6, "fail"],
] as const)("an ammeter within %d % + %d A: %s", (percent, offset, outcome) => {
  expect(findingOf("current-accuracy", { bench: { current: { percent, offset } } }).outcome).toBe(outcome);
});

test("a run without a mark at 10 s is judged at the nominal voltage, 14.8 V", () => {
  const finding = findingOf("voltage-accuracy", {
    figures: { "voltage-10s": null },
    bench: { voltage: { percent: 1, offset: 0 } },
  });
  expect(finding).toMatchObject({ outcome: "fail", limit: "0.00074 to 0.094" });
  expect(finding.observed).toBeCloseTo(0.148, 12);
});
