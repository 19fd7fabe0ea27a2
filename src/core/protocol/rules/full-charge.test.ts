import { expect, test } from "@jest/globals";
import { ruleCases } from "../../../../test/support/rule-cases.js";
import { findingOf } from "../../../../test/support/run-under-test.js";

ruleCases("full-charge", {
  passing: { "4 cells at 16.8 V": { run: { rest: { volts: 16.8, samples: 10 } } } },
  failing: {
    "4 cells at 15 V": { run: { rest: { volts: 15, samples: 10 } } },
    "4 cells at 17.4 V": { run: { rest: { volts: 17.4, samples: 10 } } },
  },
  boundary: {
    "4.15 V a cell": [
      { run: { rest: { volts: 16.6, samples: 10 } } },
      { run: { rest: { volts: 16.59, samples: 10 } } },
    ],
    "4.23 V a cell": [
      { run: { rest: { volts: 16.92, samples: 10 } } },
      { run: { rest: { volts: 16.93, samples: 10 } } },
    ],
  },
  notAssessable: { "a log that begins under load": { run: { rest: null } } },
});

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

// A full cell of LiFePO4 settles near 3.36 V within minutes (common practice, no published source).
test.each([
  [3.31, "fail"],
  [3.32, "pass"],
  [3.36, "pass"],
  [3.68, "pass"],
  [3.69, "fail"],
] as const)("4 cells of LiFePO4 at %d V each: %s", (volts, outcome) => {
  const changes = { pack: { chemistry: "lifepo4" }, run: { rest: { volts: 4 * volts, samples: 10 } } } as const;
  expect(findingOf("full-charge", changes).outcome).toBe(outcome);
});
