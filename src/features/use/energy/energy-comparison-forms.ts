import type { LineChart, Panel, Point } from "../../../core/pictures/picture.js";
import { nameWithin } from "../../../core/pictures/svg.js";
import { csvOf } from "../../../core/tables/csv.js";
import { markdownTable, markdownText } from "../../../core/tables/markdown.js";
import type { Source } from "../../../platform/http/requests/forms.js";
import { WHOSE } from "../pictures/prediction-words.js";
import type { EnergyAtPowerView, EnergyComparisonView, EnergyOfPackView } from "./energy.views.js";
import { energyPoint, shownPower, timePoint, valueCell } from "./energy-forms.js";

const HEADER = [
  ...["maker", "pack", "id", "of", "power [W]", "time [s]", "time uncertainty [s]", "energy [Wh]"],
  ...["energy uncertainty [Wh]", "lower bound", "ends by", "needed"],
];

/** One row for each power of each pack, with standard uncertainties; one that says which runs are needed for a pack of which nothing is said. */
export function energyComparisonCsv({ items, of }: EnergyComparisonView): string {
  const rows = items.flatMap(({ pack, points, needed }) => {
    const head = [pack.maker, pack.name, pack.id, of];
    const missing = needed.length === 0 ? null : needed.map(({ message }) => message).join("; ");
    if (points.length === 0) return [[...head, ...Array.from({ length: 7 }, () => null), missing]];
    return points.map((one) => [
      ...[...head, one.powerW, one.timeS, one.timeUncertainty, one.energyWh, one.energyUncertainty],
      ...[String(one.isLowerBound), one.ends, missing],
    ]);
  });
  return csvOf(HEADER, rows);
}

/** Two tables for a forum post, energy and time, with a column for each pack: values with U = 2 u. */
export function energyComparisonMarkdown(view: EnergyComparisonView, address: string): string {
  const { items, cautions } = view;
  const powers = [...new Set(items.flatMap(({ points }) => points.map(({ powerW }) => powerW)))].sort((a, b) => a - b);
  const names = items.map(({ pack }) => markdownText(nameOf(pack)));
  const table = (quantity: string, cellOf: (one: EnergyAtPowerView) => string) => {
    const rows = powers.map((powerW) => [
      shownPower(powerW),
      ...items.map(({ points }) => {
        const found = points.find((one) => one.powerW === powerW);
        return found ? cellOf(found) : "";
      }),
    ]);
    return `${quantity} by power:\n\n${markdownTable(["power [W]", ...names], rows)}`;
  };
  const lists = [...cautions.map(markdownText), ...neededOf(items).map(markdownText)].map((text) => `- ${text}`);
  return [
    "**Energy and time of packs against steady power**",
    table("Energy [Wh]", (one) => valueCell(one, one.energyWh, one.energyUncertainty)),
    table("Time [s]", (one) => valueCell(one, one.timeS, one.timeUncertainty)),
    `${basisOf(view)} ± is U = 2 u, about 95 %; an empty cell is a power that a pack's runs do not reach.`,
    lists.join("\n"),
    `Source: <${address}>\n`,
  ].join("\n\n");
}

/** Energy and time of several packs against power, with bands of U; hollow where it is at least so much. */
export function energyComparisonChart(view: EnergyComparisonView, { address, date }: Source): LineChart {
  const { items, cautions } = view;
  const names = items.map(({ pack }) => nameWithin(nameOf(pack)));
  const hasBounds = items.some(({ points }) => points.some(({ isLowerBound }) => isLowerBound));
  const panelOf = (quantity: Panel["quantity"], pointOf: (one: EnergyAtPowerView) => Point): Panel => ({
    quantity,
    series: items.flatMap(({ points }, index) => [
      { index, kind: "line" as const, points: points.filter((one) => !one.isLowerBound).map(pointOf) },
      {
        ...{ index, kind: "marks" as const, hollow: true },
        points: points
          .filter((one) => one.isLowerBound)
          .map(pointOf)
          .map(({ x, y }) => ({ x, y })),
      },
    ]),
  });
  return {
    kind: "lines",
    caption: {
      title:
        items.length > 2
          ? `${items.length} packs: energy and time against steady power`
          : `${names.join(" and ")}: energy and time against steady power`,
      subtitle: `${basisOf(view)} Bands: U\u00a0=\u00a02\u00a0u.${hasBounds ? " Hollow marks: at least so much." : ""}`,
      description: `Curves of ${names.join(", ")}.`,
      notes: [...cautions, ...neededOf(items)],
      source: address,
      date,
    },
    across: { name: "Power", unit: "W", isLogarithmic: true },
    legend: items.flatMap(({ points }, index) =>
      points.length === 0 ? [] : [{ index, kind: "line" as const, name: names[index] as string }],
    ),
    panels: [
      panelOf({ name: "Energy", unit: "Wh" }, energyPoint),
      panelOf({ name: "Time", unit: "s", isLogarithmic: true }, timePoint),
    ],
  };
}

const nameOf = ({ maker, name }: EnergyOfPackView["pack"]): string => `${maker} ${name}`;

const neededOf = (items: readonly EnergyOfPackView[]): string[] =>
  items.flatMap(({ pack, needed }) =>
    needed.length === 0 ? [] : [`To say more of ${nameOf(pack)}: ${needed.map(({ message }) => message).join("; ")}.`],
  );

function basisOf({ of, startC, temperatureLimitC, items }: EnergyComparisonView): string {
  const cutoffs = [...new Set(items.map(({ cutoffVoltsPerCell }) => `${cutoffVoltsPerCell} V`))];
  return `${WHOSE[of]}, from full and ${startC} °C to ${cutoffs.join(" or ")} a cell or ${temperatureLimitC} °C.`;
}
