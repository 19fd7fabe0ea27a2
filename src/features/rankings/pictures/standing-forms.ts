import type { RowChart } from "../../../core/pictures/picture.js";
import { nameWithin } from "../../../core/pictures/svg.js";
import { csvOf } from "../../../core/tables/csv.js";
import { markdownTable, markdownText } from "../../../core/tables/markdown.js";
import { coverageFactor } from "../../../core/uncertainty/coverage-factor.js";
import { shownValue } from "../../../core/uncertainty/digits.js";
import type { Source } from "../../../platform/http/requests/forms.js";
import type { PackStandingView, TesterAgreementView } from "../pack-standing.views.js";
import { figureTitle } from "./ranking-forms.js";

const HEADER = [
  ...[
    "tester",
    "status",
    "share",
    "held",
    "runs",
    "withdrawn runs",
    "figure",
    "load [A]",
    "unit",
    "value",
    "uncertainty",
    "coverage factor",
  ],
  ...["standard deviation of repeats", "h", "k", "undecided excess"],
];

/** One row for each tester, then the value that they make. */
export function standingCsv({ agreement, figure, load, unit, ...whole }: PackStandingView): string {
  const rows = agreement.testers.map((one) => [
    ...[one.tester.handle, one.status, one.share, String(one.held), one.runIds.length, one.withdrawnRunIds.length],
    ...[figure, load, unit],
    ...[one.value, one.uncertainty, coverageFactor(one.degreesOfFreedom), one.sd, one.h, one.k, one.undecidedExcess],
  ]);
  const all = [
    ...["all", whole.established ? "established" : "provisional", 1, null, null, null, figure, load, unit],
    ...[whole.value, whole.uncertainty, whole.coverageFactor, null, null, null, null],
  ];
  return csvOf(HEADER, [...rows, all]);
}

const statusText = ({ established, disputed }: PackStandingView): string =>
  `${established ? "established" : "provisional"}${disputed ? ", disputed" : ""}`;

/** A table for a forum post: each tester's value with U = k u, and the value that they make. */
export function standingMarkdown(standing: PackStandingView, address: string): string {
  const { agreement, figure, unit, pack } = standing;
  const rows = agreement.testers.map((one) => [
    markdownText(one.tester.handle),
    ...[intervalText(one), `${one.runIds.length}${withdrawnText(one)}`, `${Math.round(100 * one.share)} %`],
  ]);
  const all = [`all, ${statusText(standing)}`, intervalText(standing), "", "100 %"];
  const header = ["", `${figureTitle(figure)}${unit === "1" || unit === "ratio" ? "" : ` [${unit}]`}`, "runs", "share"];
  const title = `**${markdownText(`${pack.maker} ${pack.name}`)}: ${figureTitle(figure)} by tester${under(standing)}**`;
  const held = heldBack(agreement.testers).map((text) => ` ${markdownText(text)}`);
  return `${title}\n\n${markdownTable(header, [...rows, all])}\n\n± is U = k u, about 95 %.${held.join("")}\n\nSource: <${address}>\n`;
}

/** Each tester's value with U = k u, before the value that they make; hollow where it only stands beside. */
export function standingChart(standing: PackStandingView, source: Source): RowChart {
  const { agreement, figure, unit, pack, value, uncertainty, established, disputed } = standing;
  const name = nameWithin(`${pack.maker} ${pack.name}`);
  const symbol = unit === "1" || unit === "ratio" ? null : unit;
  const { testers } = agreement;
  return {
    kind: "rows",
    caption: {
      title: `${name}: ${figureTitle(figure)} by tester${under(standing)}`,
      subtitle: `${established ? "Established" : "Provisional"}${disputed ? ", disputed" : ""} value ${intervalText(standing)}${symbol ? ` ${symbol}` : ""}, the grey band. Bars: U\u00a0=\u00a0k\u00a0u, about 95 %.`,
      description: testers.map((one) => `${one.tester.handle}: ${intervalText(one)}.`).join(" "),
      notes: ["The share is how much of the value a tester makes.", ...heldBack(testers)],
      source: source.address,
      date: source.date,
    },
    quantity: { name: figureTitle(figure), unit: symbol },
    legend: [
      ...(testers.some(counts) ? [{ index: 0, kind: "marks", name: "makes the value" } as const] : []),
      ...(testers.every(counts) ? [] : [{ index: 1, kind: "marks", name: "shown beside it", hollow: true } as const]),
    ],
    rows: testers.map((one) => ({
      name: nameWithin(one.tester.handle),
      text: `${intervalText(one)} · ${one.runIds.length} ${one.runIds.length === 1 ? "run" : "runs"}${withdrawnText(one)} · ${Math.round(100 * one.share)} %`,
      value: one.value,
      half: coverageFactor(one.degreesOfFreedom) * one.uncertainty,
      index: counts(one) ? 0 : 1,
      hollow: !counts(one),
    })),
    whole: { value, half: standing.coverageFactor * uncertainty },
  };
}

const withdrawnText = ({ withdrawnRunIds }: TesterAgreementView): string =>
  withdrawnRunIds.length > 0 ? `, ${withdrawnRunIds.length} withdrawn` : "";

/** Whose means undecided runs would have moved further than they may. */
function heldBack(testers: readonly TesterAgreementView[]): string[] {
  const names = testers
    .filter(({ undecidedExcess }) => undecidedExcess > 0)
    .map(({ tester }) => nameWithin(tester.handle));
  return names.length > 0 ? [`Runs withdrawn before a decision were held at their bound: ${names.join(", ")}.`] : [];
}

const counts = ({ share }: TesterAgreementView): boolean => share > 0;

const under = ({ load }: PackStandingView): string => (load === null ? "" : ` at a standard load of ${load} A`);

function intervalText(one: Pick<TesterAgreementView, "value" | "uncertainty" | "degreesOfFreedom">): string {
  const shown = shownValue(one.value, coverageFactor(one.degreesOfFreedom) * one.uncertainty);
  return `${shown.value} ± ${shown.uncertainty}`;
}
