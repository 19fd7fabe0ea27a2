import type { LineChart, Series } from "../../../core/pictures/picture.js";
import { nameWithin } from "../../../core/pictures/svg.js";
import { csvOf } from "../../../core/tables/csv.js";
import { markdownTable, markdownText } from "../../../core/tables/markdown.js";
import { COVERAGE_FACTOR } from "../../../core/uncertainty/coverage-factor.js";
import { shownValue } from "../../../core/uncertainty/digits.js";
import type { Source } from "../../../platform/http/requests/forms.js";
import { figureTitle } from "../pictures/ranking-forms.js";
import type { AgedResultView, PackCyclesView } from "./pack-cycles.views.js";

const HEADER = [
  ...["tester", "specimen", "specimen id", "cycles", "run", "figure", "load [A]", "unit"],
  ...["value", "uncertainty", "withdrawn"],
];
/** Specimens that are told apart in a picture; those with fewest runs are drawn alike. */
const SPECIMENS = 8;

/** One row for each run, with standard uncertainties. */
export function cyclesCsv({ figure, load, unit, results }: PackCyclesView): string {
  const rows = results.map((one) => [
    ...[one.tester.handle, one.specimenLabel, one.specimenId, one.cycles, one.runId, figure, load, unit],
    ...[one.value, one.uncertainty, String(one.withdrawn)],
  ]);
  return csvOf(HEADER, rows);
}

/** A table for a forum post: each run's value with U = 2 u. */
export function cyclesMarkdown(cycles: PackCyclesView, address: string): string {
  const symbol = symbolOf(cycles);
  const header = ["", "specimen", "cycles", `${figureTitle(cycles.figure)}${symbol === null ? "" : ` [${symbol}]`}`];
  const rows = cycles.results.map((one) => [
    markdownText(one.tester.handle),
    markdownText(one.specimenLabel),
    String(one.cycles),
    `${intervalText(one)}${withdrawnText(one)}`,
  ]);
  const title = `**${markdownText(titleOf(cycles))}**`;
  return `${title}\n\n${markdownTable(header, rows)}\n\n± is U = 2 u, about 95 %.\n\nSource: <${address}>\n`;
}

/** Each run's value with U against the age of its specimen; the runs of one specimen are joined. */
export function cyclesChart(cycles: PackCyclesView, { address, date }: Source): LineChart {
  const groups = [...Map.groupBy(cycles.results, ({ specimenId }) => specimenId).values()];
  const others = groups.slice(SPECIMENS).flat();
  const shown = others.length > 0 ? [...groups.slice(0, SPECIMENS), others] : groups;
  const isOther = (index: number) => index === SPECIMENS;
  return {
    kind: "lines",
    caption: {
      title: nameWithin(titleOf(cycles)),
      subtitle: `Each run with U\u00a0=\u00a02\u00a0u, about 95 %; runs of one specimen are joined. ${spanText(cycles.results)}`,
      description: cycles.results
        .map(
          (one) =>
            `${one.tester.handle}, ${one.specimenLabel}, ${one.cycles} cycles: ${intervalText(one)}${withdrawnText(one)}.`,
        )
        .join(" "),
      notes: [
        "The age is what its tester stated: full cycles before the run.",
        ...(cycles.results.some(({ withdrawn }) => withdrawn)
          ? ["Hollow: withdrawn after it had been accepted, and counted all the same."]
          : []),
      ],
      source: address,
      date,
    },
    across: { name: "Age of the specimen", unit: "full cycles" },
    isCounted: true,
    legend: shown.map(([one], index) => ({
      index,
      kind: isOther(index) || shown[index]?.length === 1 ? ("marks" as const) : ("line" as const),
      name: isOther(index)
        ? `${groups.length - SPECIMENS} more specimens`
        : nameWithin(`${one?.tester.handle}, ${one?.specimenLabel}`),
    })),
    panels: [
      {
        quantity: { name: figureTitle(cycles.figure), unit: symbolOf(cycles) },
        series: shown.flatMap((group, index) => seriesOf(group, index, isOther(index))),
      },
    ],
  };
}

function seriesOf(group: readonly AgedResultView[], index: number, isSingle: boolean): Series[] {
  const pointOf = ({ cycles, value, uncertainty }: AgedResultView) => {
    return { x: cycles, y: value, yHalf: COVERAGE_FACTOR * uncertainty };
  };
  const marks = [false, true].flatMap((hollow): Series[] => {
    const points = group.filter(({ withdrawn }) => withdrawn === hollow).map(pointOf);
    return points.length > 0 ? [{ index, kind: "marks", hollow, points }] : [];
  });
  if (isSingle || group.length === 1) return marks;
  return [{ index, kind: "line", points: group.map(pointOf).map(({ x, y }) => ({ x, y })) }, ...marks];
}

function titleOf({ pack, figure, load }: PackCyclesView): string {
  const under = load === null ? "" : ` at a standard load of ${load} A`;
  return `${pack.maker} ${pack.name}: ${figureTitle(figure)} by cycles${under}`;
}

function spanText(results: readonly AgedResultView[]): string {
  const specimens = new Set(results.map(({ specimenId }) => specimenId)).size;
  const runs = `${results.length} ${results.length === 1 ? "run" : "runs"}`;
  return `${runs} of ${specimens} ${specimens === 1 ? "specimen" : "specimens"}.`;
}

const symbolOf = ({ unit }: PackCyclesView): string | null => (unit === "1" || unit === "ratio" ? null : unit);

const withdrawnText = ({ withdrawn }: AgedResultView): string => (withdrawn ? ", withdrawn" : "");

function intervalText({ value, uncertainty }: AgedResultView): string {
  const shown = shownValue(value, COVERAGE_FACTOR * uncertainty);
  return `${shown.value} ± ${shown.uncertainty}`;
}
