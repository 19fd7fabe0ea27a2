import { expect, test } from "@jest/globals";
import { findingOf } from "../../../../test/support/run-under-test.js";

test.each([
  [16.8, "pass"],
  [16.61, "pass"],
  [16.91, "pass"],
  [16.59, "fail"],
  [16.93, "fail"],
] as const)("4 cells at %d V in rest: %s", (volts, outcome) => {
  expect(findingOf("full-charge", { run: { rest: { volts, samples: 10 } } }).outcome).toBe(outcome);
});

test("without a rest the state of charge is not known", () => {
  expect(findingOf("full-charge", { run: { rest: null } })).toMatchObject({
    outcome: "not-assessable",
    observed: null,
  });
});

test("6 cells are full at 25.2 V, and at 16.8 V far from it", () => {
  const six = (volts: number) =>
    findingOf("full-charge", { pack: { series: 6 }, run: { rest: { volts, samples: 10 } } });
  expect([six(25.2).outcome, six(16.8).outcome]).toEqual(["pass", "fail"]);
});
