import type { Finding, Severity } from "../model.js";
import type { LadderLimits } from "../protocol/document.js";
import { round, withUnit } from "../protocol/rule.js";
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
    advice: "A warmer pack reaches the limit sooner. Bring the pack to the same temperature before every step.",
  },
  {
    rule: "ladder-ambient",
    severity: "required",
    unit: "K",
    limit: ({ ambientRangeK }) => ambientRangeK,
    of: ({ ambientC }) => ambientC,
    seen: (observed) => `The ambient temperature differs by ${observed} between the steps`,
    missing: "The ambient temperature was not declared (ambientC).",
    advice: "Repeat the steps that were run at another ambient temperature, or withdraw them.",
  },
  {
    rule: "ladder-days",
    severity: "required",
    unit: "d",
    limit: ({ days }) => days,
    of: ({ startedAt }) => (startedAt === null ? null : startedAt / MS_PER_DAY),
    seen: (observed) => `The first and the last step are ${observed} apart`,
    missing: "The start times of the steps were not declared (startedAt).",
    advice: "A pack ages. Run the steps of a ladder close together, or withdraw the old ones.",
  },
  {
    rule: "ladder-cycles",
    severity: "required",
    unit: "cycles",
    limit: ({ cycles }) => cycles,
    of: ({ cycles }) => cycles,
    seen: (observed) => `Cycles between the first and the last step: ${observed}`,
    missing: "The age of the specimen was not declared (cycles).",
    advice: "A pack ages. Run the steps of a ladder close together, or withdraw the old ones.",
  },
];

const NO_STEPS = "The ladder has no step yet: a step is a constant-current run that conforms.";

/** What speaks for and against taking the steps together, each as a finding. Steps in rising order of current. */
export function ladderFindings(steps: readonly LadderStep[], limits: LadderLimits): Finding[] {
  return [...RANGES.map((range) => rangeFinding(range, steps, limits)), contradictionFinding(steps)];
}

function rangeFinding(range: RangeRule, steps: readonly LadderStep[], limits: LadderLimits): Finding {
  const { rule, severity, unit } = range;
  const values = steps.map(range.of).filter((value) => value !== null);
  const most = range.limit(limits);
  const limit = `<= ${round(most)}`;
  if (values.length < steps.length || steps.length === 0) {
    return {
      rule,
      severity,
      outcome: "not-assessable",
      observed: null,
      limit,
      unit,
      message: steps.length === 0 ? NO_STEPS : range.missing,
      span: null,
    };
  }
  const observed = Math.max(...values) - Math.min(...values);
  const passes = observed <= most;
  const said = `${range.seen(withUnit(round(observed), unit))}. Required: ${withUnit(limit, unit)}.`;
  const message = passes ? said : `${said} ${range.advice}`;
  return { rule, severity, outcome: passes ? "pass" : "fail", observed, limit, unit, message, span: null };
}

/** Steps that pass at or above one that fails. They do not count; the lower, failing one does. */
function contradictionFinding(steps: readonly LadderStep[]): Finding {
  const count = contradictingSteps(steps).length;
  const said = `Steps that pass at or above the current of a step that fails: ${count}.`;
  const advice = "These steps do not count. Check for a loose probe, or repeat the steps.";
  return {
    rule: "ladder-consistent",
    severity: "advised",
    outcome: count === 0 ? "pass" : "fail",
    observed: count,
    limit: "<= 0",
    unit: "steps",
    message: count === 0 ? said : `${said} ${advice}`,
    span: null,
  };
}
