import type { Finding, Verdict } from "../model.js";
import type { RuleSetting } from "./document.js";
import { type Observation, type Rule, type RunUnderTest, round, withUnit } from "./rule.js";
import { RULES } from "./rules/index.js";

/**
 * The findings of all rules that the protocol sets, in its order. Every rule runs, whatever the others say.
 *
 * @throws when the protocol names a rule or a limit that does not exist: a fault of the system, never of the run
 */
export function assessRules(test: RunUnderTest): Finding[] {
  return test.protocol.rules.map((setting) => {
    const rule = RULES.get(setting.rule);
    if (!rule) throw new Error(`protocol ${test.protocol.key} sets the unknown rule ${setting.rule}`);
    return toFinding(setting, rule, test);
  });
}

/** Whether a finding keeps the run from conforming: a required rule failed, or could not be assessed though it had to be. */
export function blocks(finding: Finding, setting: RuleSetting): boolean {
  if (finding.severity !== "required" || finding.outcome === "pass") return false;
  return finding.outcome === "fail" || !setting.onlyWhenLogged;
}

/** The rules that keep a run from conforming, by findings under a protocol of these settings. */
export function blockingRules(findings: readonly Finding[], settings: readonly RuleSetting[]): string[] {
  const settingOf = new Map(settings.map((setting) => [setting.rule, setting]));
  const blocking = findings.filter((finding) => {
    const setting = settingOf.get(finding.rule);
    return setting !== undefined && blocks(finding, setting);
  });
  return blocking.map(({ rule }) => rule);
}

/** What all findings together say. `settings` are those of the protocol, in the order of the findings. */
export function verdictOf(findings: readonly Finding[], settings: readonly RuleSetting[]): Verdict {
  if (findings.some((finding, i) => blocks(finding, settings[i] as RuleSetting))) return "nonconforming";
  const isAdjusted = findings.some((finding) => finding.severity === "corrected" && finding.outcome === "fail");
  return isAdjusted ? "conforming-adjusted" : "conforming";
}

function limitOf(setting: RuleSetting): (name: string) => number {
  return (name) => {
    const value = setting.limit[name];
    if (value === undefined) throw new Error(`rule ${setting.rule} needs the limit ${name}`);
    return value;
  };
}

/** No finding holds a number that is none: it could neither be stored nor be told from a measured one. */
const NO_NUMBER = "The log's readings give no number for this rule.";

const hasNumbers = ({ observed, span }: Observation): boolean =>
  [observed, ...(span ? [span.fromS, span.toS] : [])].every(Number.isFinite);

function missingOf({ id, missing }: Rule, test: RunUnderTest): string {
  if (missing === null) throw new Error(`rule ${id} could not be assessed, which it says never happens`);
  return typeof missing === "string" ? missing : missing(test);
}

/** How a limit is called, by how strict its rule is. */
const CALLED = { required: "Required", corrected: "Usual", advised: "Advised" } as const;

function toFinding(setting: RuleSetting, rule: Rule, test: RunUnderTest): Finding {
  const { severity, unit } = setting;
  const seenByRule = rule.assess(test, limitOf(setting));
  const observation = seenByRule && hasNumbers(seenByRule) ? seenByRule : null;
  if (!observation) {
    const missing = seenByRule ? NO_NUMBER : missingOf(rule, test);
    const mustBeLogged = severity === "required" && !setting.onlyWhenLogged;
    const message = mustBeLogged ? `${missing} ${rule.advice}` : missing;
    const limit = statedLimit(setting, rule);
    return { rule: rule.id, severity, outcome: "not-assessable", observed: null, limit, unit, message, span: null };
  }
  const { observed, passes, limit, span, place, advice = rule.advice } = observation;
  const seen = [rule.seen(withUnit(round(observed), unit)), ...(place ? [place] : [])].join("; ");
  const called = `${seen}. ${CALLED[severity]}: ${withUnit(limit, unit)}.`;
  const message = passes ? called : `${called} ${advice}`;
  return {
    rule: rule.id,
    severity,
    outcome: passes ? "pass" : "fail",
    observed,
    limit,
    unit,
    message,
    span: span ?? null,
  };
}

/** In the order of the rule: a protocol that was stored has its members in another one. */
const statedLimit = ({ limit }: RuleSetting, { limits }: Rule): string =>
  Object.keys(limits)
    .map((name) => `${name} ${limit[name]}`)
    .join(", ");
