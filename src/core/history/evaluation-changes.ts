import { isDeepStrictEqual } from "node:util";
import type { Adjustment, Figure, Finding, Outcome, Verdict } from "../model.js";
import type { ProtocolDocument, RuleSetting } from "../protocol/document.js";
import { COVERAGE_FACTOR } from "../uncertainty/coverage-factor.js";

type PastFigure = Omit<Figure, "budget" | "shared">;

/** What a stored evaluation says, and what it was made by. */
export interface PastEvaluation {
  readonly computationVersion: number;
  readonly protocol: ProtocolDocument;
  readonly verdict: Verdict;
  readonly figures: readonly PastFigure[];
  readonly findings: readonly Finding[];
  readonly adjustments: readonly Adjustment[];
}

/** One figure on both sides; null where it is absent. */
export interface FigureChange {
  readonly key: string;
  /** The standard load that it was translated to, A; null under the run's own load. */
  readonly load: number | null;
  readonly unit: string;
  readonly from: number | null;
  readonly to: number | null;
  /** Whether the values differ by more than 2 of the larger standard uncertainty; null where one is absent. */
  readonly exceedsUncertainty: boolean | null;
}

export const FINDING_CAUSES = ["rule-added", "rule-removed", "limit", "severity", "observed", "computation"] as const;
/**
 * Why a finding changed: the rule came or went, its limit or its severity is another one, what was observed is another
 * number; `computation` when nothing of that differs.
 */
export type FindingCause = (typeof FINDING_CAUSES)[number];

export interface FindingChange {
  readonly rule: string;
  readonly from: Outcome | null;
  readonly to: Outcome | null;
  readonly observedFrom: number | null;
  readonly observedTo: number | null;
  readonly limitFrom: string | null;
  readonly limitTo: string | null;
  readonly causes: readonly FindingCause[];
}

/** What differs between two evaluations of one run. Both rest on the same log, so every difference has its cause in `madeBy`. */
export interface EvaluationChanges {
  readonly madeBy: {
    readonly computationDiffers: boolean;
    /** Members of the protocol's document that differ, the rules apart. */
    readonly protocolMembers: readonly string[];
    /** Rules whose setting differs. */
    readonly rules: readonly string[];
  };
  readonly verdict: { readonly from: Verdict; readonly to: Verdict } | null;
  readonly figures: readonly FigureChange[];
  readonly findings: readonly FindingChange[];
  readonly adjustmentsGone: readonly Adjustment[];
  readonly adjustmentsNew: readonly Adjustment[];
}

/** Every figure, finding, adjustment and verdict in which two evaluations of one run differ, and why. */
export function evaluationChanges(from: PastEvaluation, to: PastEvaluation): EvaluationChanges {
  const isIn = (list: readonly Adjustment[], one: Adjustment) => list.some((other) => isDeepStrictEqual(one, other));
  return {
    madeBy: {
      computationDiffers: from.computationVersion !== to.computationVersion,
      protocolMembers: differingMembers(from.protocol, to.protocol),
      rules: differingRules(from.protocol, to.protocol),
    },
    verdict: from.verdict === to.verdict ? null : { from: from.verdict, to: to.verdict },
    figures: figureChanges(from, to),
    findings: findingChanges(from, to),
    adjustmentsGone: from.adjustments.filter((one) => !isIn(to.adjustments, one)),
    adjustmentsNew: to.adjustments.filter((one) => !isIn(from.adjustments, one)),
  };
}

/** What names a version, and the rules, which are compared one by one. */
const APART: readonly string[] = ["version", "rules"];

function differingMembers(from: ProtocolDocument, to: ProtocolDocument): string[] {
  const [one, other] = [new Map(Object.entries(from)), new Map(Object.entries(to))];
  const members = new Set([...one.keys(), ...other.keys()]);
  return [...members].filter((name) => !APART.includes(name) && !isDeepStrictEqual(one.get(name), other.get(name)));
}

const settingOf = ({ rules }: ProtocolDocument, rule: string): RuleSetting | null =>
  rules.find((setting) => setting.rule === rule) ?? null;

function differingRules(from: ProtocolDocument, to: ProtocolDocument): string[] {
  const rules = new Set([...from.rules, ...to.rules].map(({ rule }) => rule));
  return [...rules].filter((rule) => !isDeepStrictEqual(settingOf(from, rule), settingOf(to, rule)));
}

function figureChanges(from: PastEvaluation, to: PastEvaluation): FigureChange[] {
  const named = ({ figures }: PastEvaluation) =>
    new Map(figures.map((figure) => [`${figure.key} ${figure.load}`, figure]));
  const [before, after] = [named(from), named(to)];
  return [...new Set([...before.keys(), ...after.keys()])].flatMap((name) => {
    const [one, other] = [before.get(name) ?? null, after.get(name) ?? null];
    const either = one ?? other;
    if (!either || one?.value === other?.value) return [];
    const change = {
      key: either.key,
      load: either.load,
      unit: either.unit,
      from: one?.value ?? null,
      to: other?.value ?? null,
      exceedsUncertainty: one && other ? exceeds(one, other) : null,
    };
    return [change];
  });
}

/** The same log made both, so their errors do not add: the larger uncertainty alone is what the difference is held against. */
function exceeds(one: PastFigure, other: PastFigure): boolean {
  return Math.abs(other.value - one.value) > COVERAGE_FACTOR * Math.max(one.uncertainty, other.uncertainty);
}

function findingChanges(from: PastEvaluation, to: PastEvaluation): FindingChange[] {
  const rules = new Set([...from.findings, ...to.findings].map(({ rule }) => rule));
  return [...rules].flatMap((rule) => {
    const one = from.findings.find((finding) => finding.rule === rule) ?? null;
    const other = to.findings.find((finding) => finding.rule === rule) ?? null;
    if (one && other && isDeepStrictEqual(judged(one), judged(other))) return [];
    const change = {
      rule,
      from: one?.outcome ?? null,
      to: other?.outcome ?? null,
      observedFrom: one?.observed ?? null,
      observedTo: other?.observed ?? null,
      limitFrom: one?.limit ?? null,
      limitTo: other?.limit ?? null,
      causes: causesOf(one, other),
    };
    return [change];
  });
}

const judged = ({ outcome, severity, observed, limit }: Finding) => ({ outcome, severity, observed, limit });

function causesOf(from: Finding | null, to: Finding | null): FindingCause[] {
  if (!from) return ["rule-added"];
  if (!to) return ["rule-removed"];
  const causes: FindingCause[] = [];
  if (from.limit !== to.limit) causes.push("limit");
  if (from.severity !== to.severity) causes.push("severity");
  if (from.observed !== to.observed) causes.push("observed");
  return causes.length > 0 ? causes : ["computation"];
}
