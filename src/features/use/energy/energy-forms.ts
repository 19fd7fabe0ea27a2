import type { LineChart, Panel, Point } from "../../../core/pictures/picture.js";
import { nameWithin } from "../../../core/pictures/svg.js";
import { csvOf } from "../../../core/tables/csv.js";
import { markdownTable, markdownText } from "../../../core/tables/markdown.js";
import { shownValue } from "../../../core/uncertainty/digits.js";
import type { Source } from "../../../platform/http/forms.js";
import { WHOSE } from "../pictures/prediction-words.js";
import type { EnergyAgainstPowerView, EnergyAtPowerView } from "./energy.views.js";

const HEADER = [
  ...["pack", "of", "power [W]", "time [s]", "time uncertainty [s]", "energy [Wh]", "energy uncertainty [Wh]"],
  ...["lower bound", "ends by"],
];

/** One row for each power, with standard uncertainties. */
export function energyCsv({ packId, of, points }: EnergyAgainstPowerView): string {
  const rows = points.map((one) => [
    ...[packId, of, one.powerW, one.timeS, one.timeUncertainty, one.energyWh, one.energyUncertainty],
    ...[String(one.isLowerBound), one.ends],
  ]);
  return csvOf(HEADER, rows);
}

/** A table for a forum post, values with U = 2 u. */
export function energyMarkdown(name: string, view: EnergyAgainstPowerView, address: string): string {
  const rows = view.points.map((one) => [
    String(Number(one.powerW.toPrecision(3))),
    cell(one, one.timeS, one.timeUncertainty),
    cell(one, one.energyWh, one.energyUncertainty),
    one.ends ?? "",
  ]);
  const table = markdownTable(["power [W]", "time [s]", "energy [Wh]", "ends by"], rows);
  const cautions = view.cautions.map((caution) => `- ${markdownText(caution)}`).join("\n");
  return `**${markdownText(name)}: energy against steady power**\n\n${table}\n\n${basisOf(view)} ± is U = 2 u, about 95 %.\n\n${cautions}\n\nSource: <${address}>\n`;
}

/** Energy and time against power, with bands of U; hollow where it is at least so much. */
export function energyChart(name: string, view: EnergyAgainstPowerView, { address, date }: Source): LineChart {
  const bounds = view.points.filter(({ isLowerBound }) => isLowerBound);
  const panelOf = (quantity: Panel["quantity"], pointOf: (one: EnergyAtPowerView) => Point): Panel => ({
    quantity,
    series: [
      { index: 0, kind: "line", points: view.points.filter(({ isLowerBound }) => !isLowerBound).map(pointOf) },
      { index: 1, kind: "marks", hollow: true, points: bounds.map(pointOf).map(({ x, y }) => ({ x, y })) },
    ],
  });
  const first = view.points[0];
  return {
    kind: "lines",
    caption: {
      title: `${nameWithin(name)}: energy and time against steady power`,
      subtitle: `${basisOf(view)} Bands: U\u00a0=\u00a02\u00a0u.`,
      description: first
        ? `From ${shown(first.powerW)} to ${shown(view.points.at(-1)?.powerW ?? 0)} W.`
        : "Nothing is said.",
      notes: view.cautions,
      source: address,
      date,
    },
    across: { name: "Power", unit: "W" },
    legend: [
      { index: 0, kind: "line", name: "to the cutoff or the limit of temperature" },
      ...(bounds.length > 0 ? [{ index: 1, kind: "marks", name: "at least so much", hollow: true } as const] : []),
    ],
    panels: [
      panelOf({ name: "Energy", unit: "Wh" }, ({ powerW, energyWh, energyUncertainty }) => ({
        x: powerW,
        y: energyWh,
        yHalf: 2 * energyUncertainty,
      })),
      panelOf({ name: "Time", unit: "s" }, ({ powerW, timeS, timeUncertainty }) => ({
        x: powerW,
        y: timeS,
        yHalf: 2 * timeUncertainty,
      })),
    ],
  };
}

const shown = (value: number): string => String(Number(value.toPrecision(3)));

const basisOf = ({ of, startC, cutoffVoltsPerCell, temperatureLimitC }: EnergyAgainstPowerView): string =>
  `${WHOSE[of]}, from full and ${startC} °C to ${cutoffVoltsPerCell} V a cell or ${temperatureLimitC} °C.`;

function cell({ isLowerBound }: EnergyAtPowerView, value: number, uncertainty: number): string {
  if (isLowerBound) return `≥ ${shown(value)}`;
  const { value: text, uncertainty: half } = shownValue(value, 2 * uncertainty);
  return `${text} ± ${half}`;
}
