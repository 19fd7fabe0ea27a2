import { describe, expect, test } from "@jest/globals";
import { RULES } from "../../src/core/protocol/rules/index.js";
import { BARE_RUN, findingOf, type RunChanges } from "./run-under-test.js";

type Cases = Readonly<Record<string, RunChanges>>;

/** What every rule is tested with. Cases are named by what they show; changes are to a run that passes. */
export interface RuleCases {
  readonly passing: Cases;
  readonly failing: Cases;
  /** A run that just meets a limit, and one that just misses it. */
  readonly boundary: Readonly<Record<string, readonly [meets: RunChanges, misses: RunChanges]>>;
  /** `never`: every run can be held against the rule. */
  readonly notAssessable: Cases | "never";
}

/** Tests a rule in all four ways, and that it tells people what it saw, what is required, and what to change. */
export function ruleCases(id: string, { passing, failing, boundary, notAssessable }: RuleCases): void {
  const rule = RULES.get(id);
  if (!rule) throw new Error(`there is no rule ${id}`);

  describe(`${id} in all four ways`, () => {
    test("has cases of each", () => {
      for (const cases of [passing, failing, boundary]) expect(Object.keys(cases)).not.toEqual([]);
      if (notAssessable !== "never") expect(Object.keys(notAssessable)).not.toEqual([]);
    });

    test.each(Object.entries(passing))("passes %s", (_, changes) => {
      const { outcome, unit } = findingOf(id, changes);
      expect([outcome, unit]).toEqual(["pass", rule.unit]);
    });

    test.each(Object.entries(failing))("fails %s", (_, changes) => {
      const { outcome, message, limit, observed } = findingOf(id, changes);
      expect([outcome, typeof observed]).toEqual(["fail", "number"]);
      expect(message).toContain(limit);
      expect(message.endsWith(rule.advice)).toBe(true);
    });

    test.each(Object.entries(boundary))("has its boundary at %s", (_, [meets, misses]) => {
      expect([findingOf(id, meets).outcome, findingOf(id, misses).outcome]).toEqual(["pass", "fail"]);
    });

    if (notAssessable === "never") {
      test("can be assessed for every run, even one of which nothing else is known", () => {
        expect(rule.missing).toBeNull();
        expect(findingOf(id, BARE_RUN).outcome).not.toBe("not-assessable");
      });
    } else {
      test.each(Object.entries(notAssessable))("cannot be assessed for %s", (_, changes) => {
        const { outcome, observed, message } = findingOf(id, changes);
        expect([outcome, observed]).toEqual(["not-assessable", null]);
        expect(message).toMatch(/^[A-Z].*\.$/);
      });
    }
  });
}
