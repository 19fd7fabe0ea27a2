import { FIGURE_KEYS } from "../../core/figures/catalogue.js";
import type { Evaluation, Figure, Finding } from "../../core/model.js";
import { blocks } from "../../core/protocol/conformance.js";
import type { RuleSetting } from "../../core/protocol/document.js";
import { PROTOCOLS } from "../../core/protocol/index.js";
import { COVERAGE_FACTOR } from "../../core/uncertainty/coverage-factor.js";
import { knownValue } from "../known-value.js";

/** Room for the longest key of a figure. */
const KEY_WIDTH = 24;
/** Room for a value with its uncertainty. */
const CELL_WIDTH = 24;

const BOUND_SIGNS = { none: "", lower: ">= ", upper: "<= " } as const;

export const VERDICT_SENTENCES = {
  conforming: "conforms",
  "conforming-adjusted": "conforms, after adjustments",
  nonconforming: "does not conform",
} as const;

/** What one evaluated log says, for people. */
export function reportOf(file: string, evaluation: Evaluation): string {
  const { protocol, log, trace, verdict, findings, adjustments } = evaluation;
  const settings = settingsOf(protocol);
  const blocking = (finding: Finding) => settings.some((set) => set.rule === finding.rule && blocks(finding, set));
  const reasons = findings.filter(blocking);
  const others = findings.filter((finding) => !blocking(finding));
  const fails = others.filter(({ outcome }) => outcome === "fail");
  const unknown = others.filter(({ outcome }) => outcome === "not-assessable");
  const cutoff = trace.cutoffS === null ? "no cutoff" : `cutoff at ${trace.cutoffS.toFixed(1)} s`;
  return [
    `${file}: ${VERDICT_SENTENCES[verdict]} (${protocol.key} ${protocol.version})`,
    `  ${log.rows} rows, ${trace.rateHz.toFixed(1)} Hz, ${trace.durationS.toFixed(1)} s under load, ${cutoff}, ended by ${trace.stop}`,
    ...section("does not conform because", reasons.map(sentenceOfFinding)),
    ...section("remarks", fails.map(sentenceOfFinding)),
    ...section("not assessed", unknown.map(sentenceOfFinding)),
    ...section(
      "adjusted",
      adjustments.map(({ message }) => message),
    ),
    ...section("columns as read", log.columns.map(columnLine)),
    ...section("figures, value +- U with U = 2 u", figureLines(evaluation.figures)),
  ].join("\n");
}

function section(title: string, lines: readonly string[]): string[] {
  return lines.length === 0 ? [] : [`  ${title}`, ...lines.map((line) => `    ${line}`)];
}

function settingsOf({ key, version }: Evaluation["protocol"]): readonly RuleSetting[] {
  return PROTOCOLS.find((protocol) => protocol.key === key && protocol.version === version)?.rules ?? [];
}

function sentenceOfFinding({ rule, message }: Finding): string {
  return `${rule}: ${message}`;
}

function columnLine({ header, channel, unit, reason }: Evaluation["log"]["columns"][number]): string {
  const reading = channel ? `${channel}${unit ? ` in ${unit}` : ""}` : "left aside";
  return `${header.padEnd(24)} ${reading.padEnd(22)} ${reason}`;
}

/** One line a figure: under the run's own load, and under each standard load within its reach. */
function figureLines(figures: readonly Figure[]): string[] {
  const loads = [...new Set(figures.flatMap(({ load }) => load ?? []))].sort((a, b) => a - b);
  const line = (name: string, cells: readonly string[]) =>
    [name.padEnd(KEY_WIDTH), ...cells.map((cell) => cell.padEnd(CELL_WIDTH))].join(" ").trimEnd();
  const at = (key: string, load: number | null) => figures.find((one) => one.key === key && one.load === load);
  const lines = FIGURE_KEYS.flatMap((key) => {
    const cells = [null, ...loads].map((load) => at(key, load));
    return cells.some(Boolean)
      ? [
          line(
            key,
            cells.map((figure) => (figure ? shown(figure) : "")),
          ),
        ]
      : [];
  });
  return [line("", ["under the run's own load", ...loads.map((load) => `standard load ${load} A`)]), ...lines];
}

function shown({ value, uncertainty, unit, bound }: Figure): string {
  return `${BOUND_SIGNS[bound]}${knownValue(value, COVERAGE_FACTOR * uncertainty)} ${unit}`;
}
