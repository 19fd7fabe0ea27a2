import { expect, test } from "@jest/globals";
import { ruleCases } from "../../../../test/support/rule-cases.js";
import { findingOf, runUnderTest } from "../../../../test/support/run-under-test.js";

const { summary } = runUnderTest().run;

ruleCases("sampling-rate", {
  passing: { "10 Hz": { run: { summary: { ...summary, rateHz: 10 } } } },
  failing: { "1 Hz": { run: { summary: { ...summary, rateHz: 1 } } } },
  boundary: {
    "5 Hz less the jitter of a clock": [
      { run: { summary: { ...summary, rateHz: 4.9 } } },
      { run: { summary: { ...summary, rateHz: 4.89 } } },
    ],
  },
  notAssessable: "never",
});

// A meter that reads once a second, polled ten times a second.
test("readings that repeat are told, with what to change", () => {
  const repeats = { intervalS: 1, voltageS: 1, currentS: 1, rowS: 0.1, leftOut: 900 };
  const { outcome, message } = findingOf("sampling-rate", { run: { summary: { ...summary, rateHz: 1 }, repeats } });
  expect([outcome, message]).toEqual([
    "fail",
    "The sampling rate is 1 Hz; readings repeat: the meter gives a new one every 1 s, rows come every 0.1 s. Required: >= 5 Hz. Log each reading once, or set the meter faster.",
  ]);
});
