import { describe, expect, test } from "@jest/globals";
import { findingOf, runUnderTest } from "../../../test/support/run-under-test.js";
import type { Finding, Outcome, Severity } from "../model.js";
import { assessRules, blocks, verdictOf } from "./conformance.js";
import type { RuleSetting } from "./document.js";
import { FULL_LOAD_1 } from "./documents/full-load-1.js";

const withRules = (rules: readonly RuleSetting[]) => ({ ...runUnderTest(), protocol: { ...FULL_LOAD_1, rules } });

describe("the rules of a protocol", () => {
  test("all pass for a run that keeps to it, but for one that needs a load with steps", () => {
    const others = assessRules(runUnderTest()).filter(({ outcome }) => outcome !== "pass");
    expect(others.map(({ rule, outcome }) => [rule, outcome])).toEqual([["resistance-by-load", "not-assessable"]]);
  });

  test("state their limits alike, in whatever order a stored protocol has them", () => {
    const setting = FULL_LOAD_1.rules.find(({ rule }) => rule === "cell-spread-at-rest") as RuleSetting;
    const turned = { ...setting, limit: Object.fromEntries(Object.entries(setting.limit).reverse()) };
    const test = runUnderTest({ samples: { cells: [] } });
    const findings = [setting, turned].map((one) =>
      assessRules({ ...test, protocol: { ...FULL_LOAD_1, rules: [one] } }),
    );
    expect(findings[1]).toEqual(findings[0]);
    expect(findings[0]?.[0]?.limit).toBe("lipo 0.03, lihv 0.03, liion 0.03, lifepo4 0.15");
  });

  test("all run, in the protocol's order, whatever the others say", () => {
    const findings = assessRules(
      runUnderTest({
        conditions: { restMinutes: 0, ambientC: 50 },
        run: { rest: null, zero: null, senseOhm: null, riseS: 5, startTemperatureC: 60 },
        stop: { reason: "log-end", cutoffS: null, loadEndS: 50, endS: 50 },
        highestTemperatureC: 90,
        nearestRatio: null,
        figures: { "voltage-10s": null, "capacity-share": null, "resistance-10s": null },
      }),
    );
    expect(findings.map(({ rule }) => rule)).toEqual(FULL_LOAD_1.rules.map(({ rule }) => rule));
    const outcome = (rule: string) => findings.find((finding) => finding.rule === rule)?.outcome;
    expect(["rest-time", "load-rise", "cutoff-reached", "temperature-limit"].map(outcome)).toEqual(
      Array(4).fill("fail"),
    );
    expect(["full-charge", "sense-known", "standard-load"].map(outcome)).toEqual(Array(3).fill("not-assessable"));
    expect(["sampling-rate", "rows-usable"].map(outcome)).toEqual(Array(2).fill("pass"));
  });

  test.each([Number.NaN, Number.POSITIVE_INFINITY])("make no finding of the number %d", (number) => {
    const { outcome, observed, span, message } = findingOf("load-rise", { run: { riseS: number } });
    expect([outcome, observed, span]).toEqual(["not-assessable", null, null]);
    expect(message).toMatch(/^The log's readings give no number for this rule\. /);
    expect(
      verdictOf(
        [findingOf("load-rise", { run: { riseS: number } })],
        FULL_LOAD_1.rules.filter(({ rule }) => rule === "load-rise"),
      ),
    ).toBe("nonconforming");
  });

  test("say in a failed finding what was seen, what is required and what to change", () => {
    const { message, limit, severity, unit, observed } = findingOf("rest-time", { conditions: { restMinutes: 4 } });
    expect({ limit, severity, unit, observed }).toEqual({
      limit: ">= 10",
      severity: "required",
      unit: "min",
      observed: 4,
    });
    expect(message).toMatch(/4 min.*Required: >= 10 min\..*rest longer/);
  });

  test("say in a passed one no advice, and in one that cannot be assessed what is missing", () => {
    expect(findingOf("rest-time").message).toMatch(/30 min.*Required: >= 10 min\.$/);
    const missing = findingOf("rest-time", { conditions: { restMinutes: null } });
    expect(missing).toMatchObject({ outcome: "not-assessable", limit: "minimum 10", span: null });
    expect(missing.message).toMatch(/not declared.*declare how long/);
  });

  test("are a fault of the system when the protocol names one that does not exist", () => {
    const rules: RuleSetting[] = [{ rule: "no-such-rule", severity: "required", limit: {}, unit: "rows" }];
    expect(() => assessRules(withRules(rules))).toThrow(/unknown rule no-such-rule/);
  });

  test.each(FULL_LOAD_1.rules.map((setting) => [setting.rule, setting] as const))(
    "are a fault of the system when the protocol leaves out a limit that %s needs",
    (rule, setting) => {
      expect(() => assessRules(withRules([{ ...setting, limit: {} }]))).toThrow(`rule ${rule} needs the limit`);
    },
  );
});

describe("the verdict", () => {
  const setting = (severity: Severity, onlyWhenLogged?: boolean): RuleSetting => ({
    rule: "any",
    severity,
    limit: {},
    unit: "rows",
    ...(onlyWhenLogged === undefined ? {} : { onlyWhenLogged }),
  });
  const finding = (severity: Severity, outcome: Outcome): Finding => ({
    rule: "any",
    severity,
    outcome,
    observed: null,
    limit: "",
    unit: "rows",
    message: "",
    span: null,
  });

  test.each([
    ["required", "pass", false, "conforming"],
    ["required", "fail", false, "nonconforming"],
    ["required", "not-assessable", false, "nonconforming"],
    ["required", "fail", true, "nonconforming"],
    ["required", "not-assessable", true, "conforming"],
    ["corrected", "pass", false, "conforming"],
    ["corrected", "fail", false, "conforming-adjusted"],
    ["corrected", "not-assessable", false, "conforming"],
    ["advised", "pass", false, "conforming"],
    ["advised", "fail", false, "conforming"],
    ["advised", "not-assessable", false, "conforming"],
  ] as const)("of one %s rule: %s (only when logged: %p) is %s", (severity, outcome, onlyWhenLogged, verdict) => {
    const settings = [setting("required"), setting(severity, onlyWhenLogged)];
    expect(verdictOf([finding("required", "pass"), finding(severity, outcome)], settings)).toBe(verdict);
  });

  test("is nonconforming when one rule fails and another was repaired", () => {
    const settings = [setting("corrected"), setting("required")];
    expect(verdictOf([finding("corrected", "fail"), finding("required", "fail")], settings)).toBe("nonconforming");
  });

  test("names as blocking the findings that keep a run from conforming", () => {
    expect(blocks(finding("required", "fail"), setting("required", true))).toBe(true);
    expect(blocks(finding("required", "not-assessable"), setting("required", true))).toBe(false);
    expect(blocks(finding("corrected", "fail"), setting("corrected"))).toBe(false);
  });
});
