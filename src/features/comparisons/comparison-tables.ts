import { FIGURE_DESCRIPTIONS } from "../../core/figures/descriptions.js";
import { csvOf, type TableCell } from "../../core/tables/csv.js";
import { markdownTable, markdownText } from "../../core/tables/markdown.js";
import { COVERAGE_FACTOR } from "../../core/uncertainty/coverage-factor.js";
import { shownValue } from "../../core/uncertainty/digits.js";
import { LADDER_PROTOCOL } from "../ladders/ladders.service.js";
import type { LadderStepView } from "../ladders/ladders.views.js";
import {
  type ComparisonCellView,
  type ComparisonColumnView,
  type ComparisonReadingView,
  type ComparisonRowView,
  type ComparisonStepView,
  type ComparisonTable,
  OF_SPECIMENS,
} from "./comparisons.views.js";

const NOTHING = {
  ...{ uncertainty: null, bound: null, disputed: null, testers: 1, runs: 1, difference: null, differencePercent: null },
  ...{ differenceUncertainty: null, differencePercentUncertainty: null, distinguishable: null },
};

const HEADER = [
  "figure",
  "protocol",
  "basis",
  "load [A]",
  "unit",
  "maker",
  "pack",
  "tester",
  "specimen",
  "id",
  "value",
  "uncertainty",
  "bound",
  "difference",
  "difference uncertainty",
  "difference [%]",
  "difference uncertainty [%]",
  "distinguishable",
  "testers",
  "runs",
  "disputed",
];

/** One row for each figure and each reading of each column, with standard uncertainties, in the units of the rows. */
export function comparisonCsv({ columns, rows, readings, steps, load }: ComparisonTable): string {
  const basis = load === null ? "own" : "translated";
  const read = readings.map((one) => ({ ...one, figure: readingName(one), protocol: null, basis, load }));
  const lines = [...rows, ...read, ...steps.flatMap(stepLines)].flatMap((row) =>
    row.cells.flatMap((cell, i): TableCell[][] => {
      const column = columns[i];
      if (!column || cell.value === null) return [];
      return [
        [
          ...[row.figure, row.protocol, row.basis, row.load, row.unit],
          ...[column.pack.maker, column.pack.name, column.tester?.handle ?? null],
          ...[OF_SPECIMENS.has(column.kind) ? (column.specimen?.label ?? null) : null, column.id],
          ...[cell.value, cell.uncertainty, cell.bound, cell.difference, cell.differenceUncertainty],
          ...[cell.differencePercent, cell.differencePercentUncertainty],
          cell.distinguishable === null ? null : String(cell.distinguishable),
          ...[cell.testers, cell.runs, cell.disputed === null ? null : String(cell.disputed)],
        ],
      ];
    }),
  );
  return csvOf(HEADER, lines);
}

/** Tables for a forum post: one for each protocol and load, values with U = 2 u and what they differ from the baseline in percent. */
export function comparisonMarkdown(comparison: ComparisonTable, address: string): string {
  const { columns, rows, readings, steps, load: common, baseline } = comparison;
  const sides = [...Map.groupBy(rows, ({ protocol, load }) => `${protocol} ${load}`).values()];
  const parts = sides.map((side) => {
    const [{ protocol, load }] = side as [ComparisonRowView];
    return section(`${protocol}, ${under(load)}`, side, ({ figure }) => figureTitle(figure));
  });
  if (readings.length > 0) parts.push(section(`Read where you chose, ${under(common)}`, readings, readingName));
  if (steps.length > 0) parts.push(stepsSection(comparison));
  const note = "± is U = 2 u. =: the difference does not exceed its uncertainty. ≥ and ≤: only a bound.";
  const isDisputed = rows.some(({ cells }) => cells.some(({ disputed }) => disputed));
  const notes = isDisputed ? `${note} ${DISPUTED}` : note;
  return `${[...parts, notes, `Source: <${address}>`].join("\n\n")}\n`;

  function section<Row extends ComparisonRowView | ComparisonReadingView>(
    title: string,
    side: readonly Row[],
    nameOf: (row: Row) => string,
  ): string {
    const header = ["", ...columns.map((column) => columnName(column, column.id === baseline))];
    const lines = side.map((row) => [
      `${nameOf(row)}${row.unit === "ratio" ? "" : ` [${row.unit}]`}`,
      ...row.cells.map((cell) => cellText(cell)),
    ]);
    return `**${title}**\n\n${markdownTable(header, lines)}`;
  }
}

const DISPUTED = "disputed: the confirmed value stays, what the results give has left it, and a moderator decides.";

const under = (load: number | null): string =>
  load === null ? "under the runs' own loads" : `at the standard load of ${load} A`;

/** What was read and where, such as `power at 20 s`. */
function readingName({ kind, fromS, toS, quantity }: ComparisonReadingView): string {
  if (kind === "cutoff" || toS === null) return `${quantity} to the cutoff`;
  if (kind === "span") return `${quantity} from ${fromS} to ${toS} s`;
  return `${quantity} at ${Number(((fromS + toS) / 2).toPrecision(9))} s`;
}

/** What a step found, as rows of their own; whether it passes is 1 or 0. */
function stepLines({ currentA, cells }: ComparisonStepView) {
  const found = (figure: string, unit: string, readOf: (step: LadderStepView) => number) => ({
    ...{
      figure: `${figure} of the step at ${shownCurrent(currentA)} A`,
      unit,
      protocol: LADDER_PROTOCOL,
      basis: "own",
      load: null,
    },
    cells: cells.map(({ step }) => ({ ...NOTHING, value: step ? readOf(step) : null, runs: step ? 1 : null })),
  });
  return [
    found("capacity", "mAh", ({ capacityMah }) => capacityMah),
    found("runtime", "s", ({ runtimeS }) => runtimeS),
    found("highest temperature", "degC", ({ highestC }) => highestC),
    found("passes", "1", ({ passes }) => (passes ? 1 : 0)),
  ];
}

function stepsSection({ columns, steps, baseline }: ComparisonTable): string {
  const header = ["Current [A]", ...columns.map((column) => columnName(column, column.id === baseline))];
  const lines = steps.map(({ currentA, cells }) => [
    shownCurrent(currentA),
    ...cells.map(({ step }) => {
      if (!step) return "–";
      const outcome = `${step.passes ? "passes" : "fails"}${step.review === "withdrawn" ? ", withdrawn" : ""}`;
      return `${step.capacityMah.toFixed(0)} mAh, ${step.highestC.toFixed(1)} °C, ${outcome}`;
    }),
  ]);
  return `**Step by step**\n\n${markdownTable(header, lines)}`;
}

const shownCurrent = (currentA: number): string => currentA.toFixed(1);

function columnName({ kind, pack, tester, specimen }: ComparisonColumnView, isBaseline: boolean): string {
  const parts = [`${pack.maker} ${pack.name}`, tester?.handle, OF_SPECIMENS.has(kind) ? specimen?.label : null];
  const name = markdownText(parts.filter((part) => part).join(", "));
  return isBaseline ? `${name} (baseline)` : name;
}

const figureTitle = (key: string): string => FIGURE_DESCRIPTIONS.get(key)?.title ?? key;

const SIGN = { none: "", lower: "≥ ", upper: "≤ " } as const;

function cellText({
  value,
  uncertainty,
  bound,
  disputed,
  differencePercent,
  distinguishable,
  difference,
}: ComparisonCellView): string {
  if (value === null || uncertainty === null) return "–";
  const shown = shownValue(value, COVERAGE_FACTOR * uncertainty);
  const text = `${SIGN[bound ?? "none"]}${shown.value} ± ${shown.uncertainty}${disputed ? ", disputed" : ""}`;
  if (differencePercent === null || difference === 0) return text;
  const percent = `${differencePercent > 0 ? "+" : "−"}${Math.abs(differencePercent).toFixed(1)} %`;
  return `${text} (${percent}${distinguishable ? "" : ", ="})`;
}
