import { expect, test } from "@jest/globals";
import { ruleCases } from "../../../../test/support/rule-cases.js";
import { findingOf } from "../../../../test/support/run-under-test.js";
import { FULL_LOAD_1 } from "../documents/full-load-1.js";

const { cells } = FULL_LOAD_1;
const WITHOUT_CUTOFF = { ...FULL_LOAD_1, cells: { ...cells, lipo: { ...cells.lipo, cutoff: null } } };

ruleCases("cutoff-reached", {
  passing: { "a run that reached the cutoff": {} },
  failing: {
    "a run that the operator ended at 50 s": { stop: { reason: "operator", cutoffS: null, loadEndS: 50, endS: 50 } },
  },
  boundary: {
    "a cutoff at the very end": [{ stop: { cutoffS: 100, endS: 100 } }, { stop: { reason: "log-end", cutoffS: null } }],
  },
  notAssessable: { "a protocol without a cutoff": { protocol: WITHOUT_CUTOFF } },
});

test("a run that reached the cutoff ended 0 V above it", () => {
  expect(findingOf("cutoff-reached")).toMatchObject({ outcome: "pass", observed: 0 });
});

test("a run that ended early fails with how far above 13.2 V it ended", () => {
  const finding = findingOf("cutoff-reached", { stop: { reason: "operator", cutoffS: null, loadEndS: 50, endS: 50 } });
  expect(finding.outcome).toBe("fail");
  expect(finding.observed).toBeCloseTo(14.65 - 0.0145 * 50 - 13.2, 9);
  expect(finding.span).toEqual({ fromS: 0, toS: 50 });
});
