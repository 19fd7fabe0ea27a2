import { expect, test } from "@jest/globals";
import { findingOf } from "../../../../test/support/run-under-test.js";

test("a run that reached the cutoff ended 0 V above it", () => {
  expect(findingOf("cutoff-reached")).toMatchObject({ outcome: "pass", observed: 0 });
});

test("a run that ended early fails with how far above 13.2 V it ended", () => {
  const finding = findingOf("cutoff-reached", { stop: { reason: "operator", cutoffS: null, loadEndS: 50, endS: 50 } });
  expect(finding.outcome).toBe("fail");
  expect(finding.observed).toBeCloseTo(14.65 - 0.0145 * 50 - 13.2, 9);
  expect(finding.span).toEqual({ fromS: 0, toS: 50 });
});
