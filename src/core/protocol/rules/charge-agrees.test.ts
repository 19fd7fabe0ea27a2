import { expect, test } from "@jest/globals";
import { ruleCases } from "../../../../test/support/rule-cases.js";
import { findingOf } from "../../../../test/support/run-under-test.js";

const chargeTimes = (factor: number) =>
  Float64Array.from({ length: 1021 }, (_, i) => (factor * Math.max(0, i / 10 - 2) * 100) / 3600);

ruleCases("charge-agrees", {
  passing: { "a counter that counts the current": { samples: { loggedCharge: chargeTimes(1) } } },
  failing: { "a counter in mAh read as Ah": { samples: { loggedCharge: chargeTimes(1000) } } },
  boundary: {
    "5 % more": [
      { samples: { loggedCharge: chargeTimes(1.0499) } },
      { samples: { loggedCharge: chargeTimes(1.0501) } },
    ],
    "5 % less": [
      { samples: { loggedCharge: chargeTimes(0.9501) } },
      { samples: { loggedCharge: chargeTimes(0.9499) } },
    ],
  },
  notAssessable: { "a log without a charge": { samples: { loggedCharge: null } } },
});

const countedTimes = (factor: number) => ({
  samples: {
    loggedCharge: Float64Array.from({ length: 1021 }, (_, i) => (factor * Math.max(0, i / 10 - 2) * 100) / 3600),
  },
});

test.each([
  [1, "pass"],
  [-1, "pass"],
  [1.049, "pass"],
  [0.951, "pass"],
  [1.051, "fail"],
  [0.949, "fail"],
  [0.001, "fail"],
] as const)("a counted charge of %d times the integral of the current: %s", (factor, outcome) => {
  expect(findingOf("charge-agrees", countedTimes(factor)).outcome).toBe(outcome);
});

test("a counter that does not begin at zero counts by its difference", () => {
  const { loggedCharge } = countedTimes(1).samples;
  expect(findingOf("charge-agrees", { samples: { loggedCharge: loggedCharge.map((ah) => ah + 3) } }).outcome).toBe(
    "pass",
  );
});

test.each([
  ["no charge column", null],
  ["a charge column of blanks", countedTimes(1).samples.loggedCharge.map(() => Number.NaN)],
])("%s", (_, loggedCharge) => {
  expect(findingOf("charge-agrees", { samples: { loggedCharge } }).outcome).toBe("not-assessable");
});

test("blanks in the column do not switch the comparison off", () => {
  const blanked = (factor: number) =>
    countedTimes(factor).samples.loggedCharge.map((ah, i) => (i % 7 === 0 || i > 1000 ? Number.NaN : ah));
  expect(findingOf("charge-agrees", { samples: { loggedCharge: blanked(1) } }).outcome).toBe("pass");
  expect(findingOf("charge-agrees", { samples: { loggedCharge: blanked(1.2) } }).outcome).toBe("fail");
});
