import type { ProtocolDocument, RuleSetting } from "./document.js";
import type { Rule } from "./rule.js";

/**
 * The page of a rule for people (Markdown).
 *
 * @param newest the newest version of each protocol. Their numbers stay off the page: a new version changes only the pages
 *   of the rules that it sets otherwise
 */
export function rulePage(rule: Rule, newest: readonly ProtocolDocument[]): string {
  const { id, observes, why, unit, limits, advice, missing } = rule;
  return [
    `# ${id}`,
    observes,
    why,
    `**If a run fails:** ${advice}`,
    notAssessable(missing),
    `**Unit:** ${unit}.`,
    "## Limits",
    table(
      ["limit", "meaning"],
      Object.entries(limits).map(([name, meaning]) => [`\`${name}\``, meaning]),
    ),
    settings(id, newest),
  ]
    .join("\n\n")
    .concat("\n");
}

/** The list of all pages. */
export function ruleIndex(rules: readonly Rule[]): string {
  const list = rules.map(({ id, observes }) => `- [${id}](${id}.md): ${observes.split(/\.( |$)/)[0]}`);
  return `# Rules\n\n\`npm run contracts\` writes these pages from \`src/core/protocol/rules\`.\n\n${list.join("\n")}\n`;
}

function notAssessable(missing: Rule["missing"]): string {
  if (missing === null) return "This rule can be assessed for every run.";
  const message = typeof missing === "string" ? `, with the message "${missing}"` : ".";
  return `**Not assessable** if its inputs are unknown${message} A required rule that is not assessable does not pass, unless it applies only where its channel was logged.`;
}

function settings(id: string, newest: readonly ProtocolDocument[]): string {
  const rows = newest.flatMap(({ key, rules }) => {
    const setting = rules.find(({ rule }) => rule === id);
    return setting ? [[key, severity(setting), stated(setting)]] : [];
  });
  if (rows.length === 0) return "No protocol sets this rule in its newest version.";
  return `Set by the newest version of each protocol:\n\n${table(["protocol", "severity", "limit"], rows)}`;
}

const severity = (setting: RuleSetting): string =>
  setting.onlyWhenLogged ? `${setting.severity}, where logged` : setting.severity;

const stated = ({ limit }: RuleSetting): string =>
  Object.entries(limit)
    .map(([name, value]) => `${name} ${value}`)
    .join(", ");

function table(head: readonly string[], rows: readonly (readonly string[])[]): string {
  const line = (cells: readonly string[]) => `| ${cells.join(" | ")} |`;
  return [line(head), line(head.map(() => "---")), ...rows.map(line)].join("\n");
}
