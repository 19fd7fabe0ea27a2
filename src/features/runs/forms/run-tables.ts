import { FIGURE_DESCRIPTIONS } from "../../../core/figures/descriptions.js";
import { csvOf } from "../../../core/tables/csv.js";
import { markdownTable, markdownText } from "../../../core/tables/markdown.js";
import { COVERAGE_FACTOR } from "../../../core/uncertainty/coverage-factor.js";
import { shownValue } from "../../../core/uncertainty/digits.js";
import type { FigureView } from "../evaluation/evaluation.views.js";
import type { RunView } from "../runs.views.js";

const HEADER = ["figure", "basis", "load [A]", "unit", "value", "uncertainty", "bound"];

/** One row for each figure of a run, with standard uncertainties. */
export function runCsv({ figures }: RunView): string {
  const rows = figures.map(({ key, basis, load, unit, value, uncertainty, bound }) => {
    return [key, basis, load, unit, value, uncertainty, bound];
  });
  return csvOf(HEADER, rows);
}

/** Tables for a forum post: figures under each load with U = 2 u, then the rules that the run fails. */
export function runMarkdown(run: RunView, address: string): string {
  const { pack, tester, protocol, figures, conformance } = run;
  const loads = [...Map.groupBy(figures, ({ load }) => load)].toSorted(([a], [b]) => (a ?? 0) - (b ?? 0));
  const keys = [...new Set(figures.map(({ key }) => key))];
  const header = ["", ...loads.map(([load]) => (load === null ? "own load" : `at ${load} A`))];
  const rows = keys.map((key) => {
    const unit = figures.find((figure) => figure.key === key)?.unit;
    const name = `${titleOf(key)}${unit === undefined || unit === "1" || unit === "ratio" ? "" : ` [${unit}]`}`;
    return [name, ...loads.map(([, of]) => cell(of.find((figure) => figure.key === key)))];
  });
  const failed = (conformance?.findings ?? []).filter(({ outcome }) => outcome === "fail");
  const title = `**${markdownText(`${pack.maker} ${pack.name}, ${tester.handle}`)}: ${protocol.key} ${protocol.version}, ${conformance?.verdict ?? run.state}**`;
  const parts = [
    title,
    figures.length > 0 ? markdownTable(header, rows) : "",
    figures.length > 0 ? "± is U = 2 u. ≥ and ≤: only a bound." : "",
    ...failed.map(({ rule, severity, message }) => `- ${rule} (${severity}): ${markdownText(message)}`),
    `Source: <${address}>`,
  ];
  return `${parts.filter((part) => part !== "").join("\n\n")}\n`;
}

/** A figure under the run's own load in words, such as `Power at 10 s 1409 ± 5 W`; null where the run has none. */
export function figureLine({ figures }: RunView, key: string): string | null {
  const figure = figures.find((one) => one.key === key && one.load === null);
  return figure ? `${titleOf(key)} ${cell(figure)} ${figure.unit}` : null;
}

const titleOf = (key: string): string => FIGURE_DESCRIPTIONS.get(key)?.title ?? key;

const SIGN = { none: "", lower: "≥ ", upper: "≤ " } as const;

function cell(figure: FigureView | undefined): string {
  if (!figure) return "–";
  const shown = shownValue(figure.value, COVERAGE_FACTOR * figure.uncertainty);
  return `${SIGN[figure.bound]}${shown.value} ± ${shown.uncertainty}`;
}
