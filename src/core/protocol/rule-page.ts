import type { ProtocolDocument, RuleSetting } from "./document.js";
import type { Rule } from "./rule.js";

/** The page of a rule for people (Markdown), with how each protocol sets it. */
export function rulePage(rule: Rule, protocols: readonly ProtocolDocument[]): string {
  const { id, observes, why, unit, limits, advice, missing } = rule;
  const set = protocols.flatMap((protocol) => {
    const setting = protocol.rules.find((one) => one.rule === id);
    return setting ? [{ protocol, setting }] : [];
  });
  return [
    `# ${id}`,
    observes,
    why,
    `**When it fails:** ${advice}`,
    notAssessable(missing),
    `Observed in: ${unit === "1" ? "a pure number" : unit}.`,
    "## Limits",
    table(
      ["limit", "means"],
      Object.entries(limits).map(([name, meaning]) => [`\`${name}\``, meaning]),
    ),
    table(
      ["protocol", "severity", "limit"],
      set.map(({ protocol, setting }) => [`${protocol.key} ${protocol.version}`, severity(setting), stated(setting)]),
    ),
  ]
    .join("\n\n")
    .concat("\n");
}

/** The list of all pages. */
export function ruleIndex(rules: readonly Rule[]): string {
  const list = rules.map(({ id, observes }) => `- [${id}](${id}.md): ${observes.split(". ")[0]?.replace(/\.$/, "")}`);
  return `# Rules\n\nWritten by \`npm run contracts\` from the rules themselves (\`src/core/protocol/rules\`).\n\n${list.join("\n")}\n`;
}

function notAssessable(missing: Rule["missing"]): string {
  if (missing === null) return "Every run can be held against it.";
  const when = typeof missing === "string" ? ` ${missing}` : "";
  return `**Not assessable** where what it looks at is not known.${when} A required rule that cannot be assessed does not pass, unless it holds only where its channel was logged.`;
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
