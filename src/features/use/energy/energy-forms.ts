import type { LineChart, Panel, Point } from "../../../core/pictures/picture.js";
import { nameWithin } from "../../../core/pictures/svg.js";
import { csvOf } from "../../../core/tables/csv.js";
import { markdownTable, markdownText } from "../../../core/tables/markdown.js";
import { COVERAGE_FACTOR } from "../../../core/uncertainty/coverage-factor.js";
import { shownValue } from "../../../core/uncertainty/digits.js";
import type { Source } from "../../../platform/http/requests/forms.js";
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
    shownPower(one.powerW),
    valueCell(one, one.timeS, one.timeUncertainty),
    valueCell(one, one.energyWh, one.energyUncertainty),
    one.ends ?? "",
  ]);
  const table = markdownTable(["power [W]", "time [s]", "energy [Wh]", "ends by"], rows);
  const cautions = [...view.cautions, ...neededOf(view)].map((text) => `- ${markdownText(text)}`).join("\n");
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
        ? `From ${shownPower(first.powerW)} to ${shownPower(view.points.at(-1)?.powerW ?? 0)} W.`
        : "Nothing is said.",
      notes: [...view.cautions, ...neededOf(view)],
      source: address,
      date,
    },
    across: { name: "Power", unit: "W", isLogarithmic: true },
    legend: [
      { index: 0, kind: "line", name: "to the cutoff or the limit of temperature" },
      ...(bounds.length > 0 ? [{ index: 1, kind: "marks", name: "at least so much", hollow: true } as const] : []),
    ],
    panels: [
      panelOf({ name: "Energy", unit: "Wh" }, energyPoint),
      panelOf({ name: "Time", unit: "s", isLogarithmic: true }, timePoint),
    ],
  };
}

export const energyPoint = ({ powerW, energyWh, energyUncertainty }: EnergyAtPowerView): Point => ({
  x: powerW,
  y: energyWh,
  yHalf: COVERAGE_FACTOR * energyUncertainty,
});

export const timePoint = ({ powerW, timeS, timeUncertainty }: EnergyAtPowerView): Point => ({
  x: powerW,
  y: timeS,
  yHalf: COVERAGE_FACTOR * timeUncertainty,
});

/** A power to three digits. */
export const shownPower = (watts: number): string => String(Number(watts.toPrecision(3)));

const neededOf = ({ needed }: EnergyAgainstPowerView): string[] =>
  needed.length === 0 ? [] : [`To say more: ${needed.map(({ message }) => message).join("; ")}.`];

const basisOf = ({ of, startC, cutoffVoltsPerCell, temperatureLimitC }: EnergyAgainstPowerView): string =>
  `${WHOSE[of]}, from full and ${startC} °C to ${cutoffVoltsPerCell} V a cell or ${temperatureLimitC} °C.`;

/** A value with its U = 2 u, or that it is at least so much. */
export function valueCell({ isLowerBound }: EnergyAtPowerView, value: number, uncertainty: number): string {
  if (isLowerBound) return `≥ ${Number(value.toPrecision(3))}`;
  const { value: text, uncertainty: half } = shownValue(value, COVERAGE_FACTOR * uncertainty);
  return `${text} ± ${half}`;
}
