import { expect, test } from "@jest/globals";
import { findingOf } from "../../../../test/support/run-under-test.js";

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
