import { expect, test } from "@jest/globals";
import { findingOf } from "../../../../test/support/run-under-test.js";

// Up to 2 % of the load current as logged it is subtracted and passes; beyond, it stays and fails: docs/definitions.md, 10.
test.each([
  [0, true, 100, "pass"],
  [2, true, 98, "pass"],
  [-2, true, 102, "pass"],
  [2.01, false, 100, "fail"],
  [-2.01, false, 100, "fail"],
] as const)("%d A at rest, subtracted is %p, then %d A of load: %s", (offsetA, subtracted, loadCurrentA, outcome) => {
  const finding = findingOf("current-zero", { run: { loadCurrentA, zero: { offsetA, samples: 20, subtracted } } });
  expect(finding).toMatchObject({ outcome, observed: offsetA });
});

test("too short a rest", () => {
  expect(findingOf("current-zero", { run: { zero: null } })).toMatchObject({
    outcome: "not-assessable",
    observed: null,
  });
});
