import { expect, test } from "@jest/globals";
import { NEWEST_PROTOCOLS } from "./index.js";
import { ruleIndex, rulePage } from "./rule-page.js";
import { RULES } from "./rules/index.js";

test("a page changes with the settings of its rule, and with no other change of a protocol", () => {
  const next = NEWEST_PROTOCOLS.map((protocol) => ({
    ...protocol,
    version: protocol.version + 1,
    title: "Another",
    rules: protocol.rules.map((one) => (one.rule === "largest-gap" ? { ...one, limit: { maximum: 77 } } : one)),
  }));
  const changed = [...RULES.values()].filter((rule) => rulePage(rule, next) !== rulePage(rule, NEWEST_PROTOCOLS));
  expect(changed.map(({ id }) => id)).toEqual(["largest-gap"]);
});

test("a rule that no newest version sets keeps its page, for the runs of older ones", () => {
  for (const rule of RULES.values()) expect(rulePage(rule, [])).toContain("No protocol sets this rule");
});

test("the list names each rule with the first sentence of what it observes", () => {
  const rule = RULES.get("resistance-by-load");
  if (!rule) throw new Error("the rule is missing");
  expect(ruleIndex([rule])).toContain(
    "- [resistance-by-load](resistance-by-load.md): The resistance at the step to the highest load plus its uncertainty, in % of the resistance at the step to the lowest load\n",
  );
});
