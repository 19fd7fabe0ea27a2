import { expect, test } from "@jest/globals";
import { ruleCases } from "../../../../test/support/rule-cases.js";
import { findingOf, runUnderTest } from "../../../../test/support/run-under-test.js";

const { voltage, current } = runUnderTest().run.samples;
const powerTimes = (factor: number) => voltage.map((volts, i) => factor * volts * (current[i] as number));

ruleCases("power-agrees", {
  passing: { "a power that is voltage times current": { samples: { loggedPower: powerTimes(1) } } },
  failing: { "a power in mW read as W": { samples: { loggedPower: powerTimes(1000) } } },
  boundary: {
    "3 % more": [{ samples: { loggedPower: powerTimes(1.0299) } }, { samples: { loggedPower: powerTimes(1.0301) } }],
    "3 % less": [{ samples: { loggedPower: powerTimes(0.9701) } }, { samples: { loggedPower: powerTimes(0.9699) } }],
  },
  notAssessable: { "a log without a power": { samples: { loggedPower: null } } },
});

const product = Float64Array.from({ length: 1021 }, (_, i) => (i < 20 ? 0 : 100 * (14.65 - 0.0145 * (i / 10 - 2))));

test.each([
  [1, "pass"],
  [-1, "pass"],
  [1.029, "pass"],
  [0.971, "pass"],
  [1.031, "fail"],
  [0.969, "fail"],
] as const)("a logged power of %d times voltage times current: %s", (factor, outcome) => {
  const loggedPower = product.map((watts) => factor * watts);
  expect(findingOf("power-agrees", { samples: { loggedPower } }).outcome).toBe(outcome);
});

test.each([
  ["no power column", null],
  ["a power column of blanks", product.map(() => Number.NaN)],
])("%s", (_, loggedPower) => {
  expect(findingOf("power-agrees", { samples: { loggedPower } }).outcome).toBe("not-assessable");
});

test("blanks in the column do not switch the comparison off", () => {
  const blanked = (factor: number) => product.map((watts, i) => (i % 3 === 0 ? Number.NaN : factor * watts));
  expect(findingOf("power-agrees", { samples: { loggedPower: blanked(1) } }).outcome).toBe("pass");
  expect(findingOf("power-agrees", { samples: { loggedPower: blanked(1.2) } }).outcome).toBe("fail");
});
