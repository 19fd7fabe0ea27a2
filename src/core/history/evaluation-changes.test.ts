import { describe, expect, it } from "@jest/globals";
import type { Finding } from "../model.js";
import { FULL_LOAD_1 } from "../protocol/documents/full-load-1.js";
import { evaluationChanges, type PastEvaluation } from "./evaluation-changes.js";

const finding = (rule: string, more: Partial<Finding> = {}): Finding => ({
  rule,
  severity: "required",
  outcome: "pass",
  observed: 8,
  limit: ">= 5",
  unit: "Hz",
  message: "",
  span: null,
  ...more,
});

const power = {
  key: "power-10s",
  value: 1400,
  unit: "W",
  uncertainty: 4,
  basis: "measured",
  load: null,
  bound: "none",
} as const;

const past = (more: Partial<PastEvaluation> = {}): PastEvaluation => ({
  computationVersion: 1,
  protocol: FULL_LOAD_1,
  verdict: "conforming",
  figures: [power],
  findings: [finding("sampling-rate")],
  adjustments: [{ kind: "current-zero", message: "Zero taken off", before: 0.3, after: 0, unit: "A" }],
  ...more,
});

it("an evaluation differs from itself in nothing", () => {
  expect(evaluationChanges(past(), past())).toEqual({
    madeBy: { computationDiffers: false, protocolMembers: [], rules: [] },
    verdict: null,
    figures: [],
    findings: [],
    adjustmentsGone: [],
    adjustmentsNew: [],
  });
});

describe("what differs is said with its cause", () => {
  it("a stricter limit of a new protocol version that fails the run", () => {
    const rules = FULL_LOAD_1.rules.map((one) =>
      one.rule === "sampling-rate" ? { ...one, limit: { minimum: 10 } } : one,
    );
    const stricter = past({
      protocol: { ...FULL_LOAD_1, version: 2, rules },
      verdict: "nonconforming",
      findings: [finding("sampling-rate", { outcome: "fail", limit: ">= 10" })],
    });
    const changes = evaluationChanges(past(), stricter);
    expect(changes.madeBy).toEqual({ computationDiffers: false, protocolMembers: [], rules: ["sampling-rate"] });
    expect(changes.verdict).toEqual({ from: "conforming", to: "nonconforming" });
    expect(changes.findings).toMatchObject([
      { rule: "sampling-rate", from: "pass", to: "fail", limitFrom: ">= 5", limitTo: ">= 10", causes: ["limit"] },
    ]);
  });

  it("another computation that reads another number, and whether the uncertainty hides it", () => {
    const value = (watts: number) => past({ computationVersion: 2, figures: [{ ...power, value: watts }] });
    const near = evaluationChanges(past(), value(1407));
    expect(near.madeBy.computationDiffers).toBe(true);
    expect(near.figures).toEqual([
      { key: "power-10s", load: null, unit: "W", from: 1400, to: 1407, exceedsUncertainty: false },
    ]);
    expect(evaluationChanges(past(), value(1409)).figures[0]?.exceedsUncertainty).toBe(true);
  });

  it("figures and rules that came and went, each on its side of the load", () => {
    const translated = { ...power, basis: "translated", load: 100 } as const;
    const other = past({ figures: [{ ...power, basis: "corrected" }, translated], findings: [finding("rest-time")] });
    const changes = evaluationChanges(past(), other);
    expect(changes.figures).toMatchObject([{ load: 100, from: null, to: 1400, exceedsUncertainty: null }]);
    expect(changes.findings.map(({ rule, causes }) => [rule, causes])).toEqual([
      ["sampling-rate", ["rule-removed"]],
      ["rest-time", ["rule-added"]],
    ]);
  });

  it("members of the protocol and adjustments", () => {
    const other = past({ protocol: { ...FULL_LOAD_1, version: 2, title: "Another" }, adjustments: [] });
    const changes = evaluationChanges(past(), other);
    expect(changes.madeBy.protocolMembers).toEqual(["title"]);
    expect(changes.adjustmentsGone).toHaveLength(1);
    expect(evaluationChanges(other, past()).adjustmentsNew).toHaveLength(1);
  });

  it("a severity, an observation, or the computation alone", () => {
    const causes = (more: Partial<Finding>) =>
      evaluationChanges(past(), past({ findings: [finding("sampling-rate", more)] })).findings[0]?.causes;
    expect(causes({ severity: "advised" })).toEqual(["severity"]);
    expect(causes({ observed: 7 })).toEqual(["observed"]);
    expect(causes({ outcome: "fail" })).toEqual(["computation"]);
  });
});
