import type { Finding, Verdict } from "../model.js";
import type { RuleSetting } from "./document.js";
import { type Observation, type Rule, type RunUnderTest, round } from "./rule.js";
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
    return toFinding(setting, rule, rule.assess(test, limitOf(setting)));
  });
}

/** Whether a finding keeps the run from conforming: a required rule failed, or could not be assessed though it had to be. */
export function blocks(finding: Finding, setting: RuleSetting): boolean {
  if (finding.severity !== "required" || finding.outcome === "pass") return false;
  return finding.outcome === "fail" || !setting.onlyWhenLogged;
}

/** What all findings together say. `settings` are those of the protocol, in the order of the findings. */
export function verdictOf(findings: readonly Finding[], settings: readonly RuleSetting[]): Verdict {
  if (findings.some((finding, i) => blocks(finding, settings[i] as RuleSetting))) return "nonconforming";
  const mended = findings.some((finding) => finding.severity === "corrected" && finding.outcome === "fail");
  return mended ? "conforming-adjusted" : "conforming";
}

function limitOf(setting: RuleSetting): (name: string) => number {
  return (name) => {
    const value = setting.limit[name];
    if (value === undefined) throw new Error(`rule ${setting.rule} needs the limit ${name}`);
    return value;
  };
}

function toFinding(setting: RuleSetting, rule: Rule, observation: Observation | null): Finding {
  const { severity, unit } = setting;
  if (!observation) {
    const missing = `${rule.missing} ${rule.advice}`;
    return {
      rule: rule.id,
      severity,
      outcome: "not-assessable",
      observed: null,
      limit: statedLimit(setting),
      unit,
      message: missing,
      span: null,
    };
  }
  const { observed, passes, limit, span } = observation;
  const seen = rule.seen(withUnit(round(observed), unit));
  const required = `${severity === "advised" ? "Advised" : "Required"}: ${withUnit(limit, unit)}.`;
  const message = passes ? `${seen}. ${required}` : `${seen}. ${required} ${rule.advice}`;
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

const withUnit = (text: string, unit: string): string => (unit === "1" ? text : `${text} ${unit}`);

const statedLimit = (setting: RuleSetting): string =>
  Object.entries(setting.limit)
    .map(([name, value]) => `${name} ${value}`)
    .join(", ");
