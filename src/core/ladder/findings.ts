import type { Finding, Severity } from "../model.js";
import type { LadderLimits } from "../protocol/document.js";
import { round } from "../protocol/rule.js";
import type { LadderStep } from "./step.js";
import { contradictingSteps } from "./verified-current.js";

const MS_PER_DAY = 86_400_000;

/** One demand on the steps of a ladder: the range of something over them, against a limit. */
interface RangeRule {
  readonly rule: string;
  readonly severity: Severity;
  readonly unit: string;
  readonly limit: (limits: LadderLimits) => number;
  readonly of: (step: LadderStep) => number | null;
  readonly seen: (observed: string) => string;
  readonly missing: string;
  readonly advice: string;
}

const RANGES: readonly RangeRule[] = [
  {
    rule: "ladder-start-temperature",
    severity: "required",
    unit: "K",
    limit: ({ startTemperatureRangeK }) => startTemperatureRangeK,
    of: ({ startC }) => startC,
    seen: (observed) => `The pack's temperature at onset differs by ${observed} between the steps`,
    missing: "The steps have no temperature at onset.",
    advice: "A warmer pack reaches the limit sooner: let it come to the same temperature before every step.",
  },
  {
    rule: "ladder-ambient",
    severity: "required",
    unit: "K",
    limit: ({ ambientRangeK }) => ambientRangeK,
    of: ({ ambientC }) => ambientC,
    seen: (observed) => `The surroundings differ by ${observed} between the steps`,
    missing: "The temperature of the surroundings was not declared (ambientC).",
    advice: "Repeat the steps that were run in other surroundings, or withdraw them.",
  },
  {
    rule: "ladder-days",
    severity: "required",
    unit: "d",
    limit: ({ days }) => days,
    of: ({ startedAt }) => (startedAt === null ? null : startedAt / MS_PER_DAY),
    seen: (observed) => `Between the first and the last step lie ${observed}`,
    missing: "When the steps were run was not declared (startedAt).",
    advice: "A pack ages: run the steps of a ladder close together, or withdraw the old ones.",
  },
  {
    rule: "ladder-cycles",
    severity: "required",
    unit: "1",
    limit: ({ cycles }) => cycles,
    of: ({ cycles }) => cycles,
    seen: (observed) => `Cycles of the specimen between its youngest and its oldest step: ${observed}`,
    missing: "The specimen's age was not declared (cycles).",
    advice: "A pack ages: run the steps of a ladder close together, or withdraw the old ones.",
  },
];

/** What speaks for and against taking the steps together, each as a finding. Steps in rising order of current. */
export function ladderFindings(steps: readonly LadderStep[], limits: LadderLimits): Finding[] {
  return [...RANGES.map((range) => rangeFinding(range, steps, limits)), contradictionFinding(steps)];
}

function rangeFinding(range: RangeRule, steps: readonly LadderStep[], limits: LadderLimits): Finding {
  const { rule, severity, unit } = range;
  const values = steps.map(range.of).filter((value) => value !== null);
  const most = range.limit(limits);
  const limit = `<= ${round(most)}`;
  if (values.length < steps.length || values.length === 0) {
    return {
      rule,
      severity,
      outcome: "not-assessable",
      observed: null,
      limit,
      unit,
      message: range.missing,
      span: null,
    };
  }
  const observed = Math.max(...values) - Math.min(...values);
  const passes = observed <= most;
  const withUnit = (text: string) => (unit === "1" ? text : `${text} ${unit}`);
  const said = `${range.seen(withUnit(round(observed)))}. Required: ${withUnit(limit)}.`;
  const message = passes ? said : `${said} ${range.advice}`;
  return { rule, severity, outcome: passes ? "pass" : "fail", observed, limit, unit, message, span: null };
}

/** Steps that pass at or above one that fails. They do not count; the lower, failing one does. */
function contradictionFinding(steps: readonly LadderStep[]): Finding {
  const count = contradictingSteps(steps).length;
  const said = `Steps that pass at or above the current of one that fails: ${count}.`;
  const advice = "They do not count. Look for a probe that came loose, or repeat the steps.";
  return {
    rule: "ladder-consistent",
    severity: "advised",
    outcome: count === 0 ? "pass" : "fail",
    observed: count,
    limit: "<= 0",
    unit: "1",
    message: count === 0 ? said : `${said} ${advice}`,
    span: null,
  };
}
