import { FIGURE_DESCRIPTIONS } from "../../../core/figures/descriptions.js";
import type { LegendEntry, RowChart } from "../../../core/pictures/picture.js";
import { nameWithin } from "../../../core/pictures/svg.js";
import { csvOf } from "../../../core/tables/csv.js";
import { markdownTable, markdownText } from "../../../core/tables/markdown.js";
import { CHEMISTRY_NAMES } from "../../../core/text/chemistry-names.js";
import { shownValue } from "../../../core/uncertainty/digits.js";
import type { Source } from "../../../platform/http/requests/forms.js";
import type { RankingPage } from "../orders/ranking-pages.service.js";
import type { RankingArgs } from "../rankings.args.js";
import type { StandingView } from "../rankings.views.js";

const HEADER = [
  ...[
    "place",
    "best place",
    "worst place",
    "maker",
    "pack",
    "id",
    "figure",
    "load [A]",
    "unit",
    "value",
    "uncertainty",
  ],
  ...["coverage factor", "established", "testers", "runs", "tied with", "disputed"],
];

/** One row for each standing of a page, with standard uncertainties. */
export function rankingCsv(figure: string, { items }: RankingPage): string {
  const rows = items.map((one) => [
    ...[
      one.place,
      one.placeRange?.[0] ?? null,
      one.placeRange?.[1] ?? null,
      one.pack.maker,
      one.pack.name,
      one.pack.id,
    ],
    ...[figure, one.load, one.unit, one.value, one.uncertainty, one.coverageFactor, String(one.established)],
    ...[one.testers, one.runs, one.tiedWith.join(" "), String(one.disputed)],
  ]);
  return csvOf(HEADER, rows);
}

/** A table for a forum post: places with their ranges, values with U = k u. */
export function rankingMarkdown(figure: string, args: RankingArgs, page: RankingPage, address: string): string {
  const rows = page.items.map((one) => [
    markdownText(`${one.pack.maker} ${one.pack.name}`),
    ...[
      one.place === null ? "provisional" : String(one.place),
      rangeText(one),
      `${interval(one)}${disputedText(one)}`,
      String(one.testers),
    ],
  ]);
  const header = ["", "place", "range", `${figureTitle(figure)}${unitOf(page)}`, "testers"];
  const notes =
    `± is U = k u, about 95 %. The range is which places the uncertainties allow. ${disputeText(page)}${gapText(page)}`.trim();
  return `**${titleOf(figure, args, page)}**\n\n${markdownTable(header, rows)}\n\n${notes}\n\nSource: <${address}>\n`;
}

/** Each pack's value with U = k u; provisional ones hollow. */
export function rankingChart(figure: string, args: RankingArgs, page: RankingPage, source: Source): RowChart {
  const { items, established, provisional } = page;
  const legend: LegendEntry[] = [
    ...(items.some((one) => one.established) ? [{ index: 0, kind: "marks", name: "established" } as const] : []),
    ...(items.some((one) => !one.established)
      ? [{ index: 1, kind: "marks", name: "provisional, without a place", hollow: true } as const]
      : []),
  ];
  const shown = items.length < established ? `The first ${items.length} shown of` : "";
  return {
    kind: "rows",
    caption: {
      title: titleOf(figure, args, page),
      subtitle:
        `${shown} ${established} established and ${provisional} provisional standings.${items.length > 0 ? " Bars: U\u00a0=\u00a0k\u00a0u, about 95 %." : ""}`.trim(),
      description: items.map((one) => `${rowName(one)}: ${interval(one)} ${one.unit}${disputedText(one)}.`).join(" "),
      notes: [
        items.length > 0 ? "Place, with the range of places that the uncertainties allow." : "",
        "A ranking is not a licence to use a pack at its limits.",
        disputeText(page).trim(),
        gapText(page),
      ].filter((note) => note !== ""),
      source: source.address,
      date: source.date,
    },
    quantity: { name: figureTitle(figure), unit: unitSymbol(page) },
    legend,
    rows: items.map((one) => ({
      name: rowName(one),
      text: `${interval(one)}${disputedText(one)} · ${one.testers} ${one.testers === 1 ? "tester" : "testers"}`,
      value: one.value,
      half: one.coverageFactor * one.uncertainty,
      index: one.established ? 0 : 1,
      hollow: !one.established,
    })),
  };
}

export const figureTitle = (key: string): string => FIGURE_DESCRIPTIONS.get(key)?.title ?? key;

function titleOf(figure: string, { chemistry, series, asOf }: RankingArgs, { load }: RankingPage): string {
  const packs = [
    series?.map((one) => `${one}S`).join(", "),
    chemistry?.map((one) => CHEMISTRY_NAMES[one]).join(", "),
    "packs",
  ];
  const under = load === null ? "" : ` at a standard load of ${load} A`;
  const then = asOf == null ? "" : `, as of ${asOf}`;
  return `${figureTitle(figure)} of ${packs.filter((part) => part).join(" ")}${under}${then}`;
}

function rowName(one: StandingView): string {
  const name = nameWithin(`${one.pack.maker} ${one.pack.name}`);
  if (one.place === null) return name;
  const range = rangeText(one);
  return `${one.place}${range === String(one.place) ? "" : ` (${range})`}  ${name}`;
}

function rangeText({ placeRange }: StandingView): string {
  if (placeRange === null) return "–";
  const [best, worst] = placeRange;
  return best === worst ? String(best) : `${best}–${worst}`;
}

function interval({ value, uncertainty, coverageFactor }: StandingView): string {
  const shown = shownValue(value, coverageFactor * uncertainty);
  return `${shown.value} ± ${shown.uncertainty}`;
}

const disputedText = ({ disputed }: StandingView): string => (disputed ? ", disputed" : "");

const disputeText = ({ items }: RankingPage): string =>
  items.some(({ disputed }) => disputed)
    ? "Disputed: the confirmed value stays, what the results give has left it, and a moderator decides. "
    : "";

function unitSymbol({ items }: RankingPage): string | null {
  const unit = items[0]?.unit ?? "1";
  return unit === "1" || unit === "ratio" ? null : unit;
}

function unitOf(page: RankingPage): string {
  const unit = unitSymbol(page);
  return unit === null ? "" : ` [${unit}]`;
}

function gapText({ gap, provisional }: RankingPage): string {
  if (gap === null) return "";
  if (gap === "no-results") return "No pack of this class has an accepted run with this figure.";
  return `No standing of this class is established; ${provisional} provisional ones are shown with standing=all.`;
}
