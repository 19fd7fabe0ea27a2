import { expect, test } from "@jest/globals";
import { ruleCases } from "../../../../test/support/rule-cases.js";
import { findingOf } from "../../../../test/support/run-under-test.js";

ruleCases("discharge-sign", {
  passing: { "discharge counted as positive": { samples: { turned: false } } },
  failing: { "discharge counted as negative": { samples: { turned: true } } },
  boundary: {
    "a current above nothing": [
      { run: { loadCurrentA: 0.001 } },
      { run: { loadCurrentA: 0.001 }, samples: { turned: true } },
    ],
  },
  notAssessable: "never",
});

test.each([
  [false, "pass"],
  [true, "fail"],
] as const)("turned is %p: %s", (turned, outcome) => {
  expect(findingOf("discharge-sign", { samples: { turned } }).outcome).toBe(outcome);
});

test("a turned current is shown as the log has it", () => {
  expect(findingOf("discharge-sign", { samples: { turned: true } }).observed).toBe(-100);
});
