import type { LineChart, Quantity } from "../../core/pictures/picture.js";
import { nameWithin } from "../../core/pictures/svg.js";
import type { Source } from "../../platform/http/requests/forms.js";
import type { DrawnAgainst, DrawnQuantity } from "./comparisons.args.js";
import {
  type ComparisonColumnView,
  type ComparisonCurveView,
  type ComparisonView,
  OF_SPECIMENS,
} from "./comparisons.views.js";

/** What is drawn of a comparison. */
export interface DrawnParts {
  readonly show?: readonly DrawnQuantity[] | null | undefined;
  readonly against?: DrawnAgainst | null | undefined;
}

const USUAL_PARTS: readonly DrawnQuantity[] = ["power", "voltage", "temperature"];

const QUANTITIES: Readonly<Record<DrawnQuantity, Quantity>> = {
  power: { name: "Power", unit: "W" },
  voltage: { name: "Voltage", unit: "V" },
  current: { name: "Current", unit: "A" },
  temperature: { name: "Temperature", unit: "°C" },
};
/** What an axis covers at least, in the unit of its quantity. */
const MIN_SPANS: Readonly<Partial<Record<DrawnQuantity, number>>> = { temperature: 5 };

const ACROSS: Readonly<
  Record<DrawnAgainst, Quantity & { readonly valuesOf: (curve: ComparisonCurveView) => number[] }>
> = {
  time: { name: "Time from the onset of load", unit: "s", valuesOf: ({ time }) => time },
  charge: { name: "Charge drawn", unit: "Ah", valuesOf: ({ charge }) => charge },
  "charge-share": {
    name: "Share of the charge drawn",
    unit: "%",
    valuesOf: ({ chargeShare }) => chargeShare.map((share) => 100 * share),
  },
};

/** The marks at which figures are read, s. */
const MARKS_S = [10, 30];

/** The curves of a comparison under its standard load, with bands of U = 2 u. */
export function comparisonChart(
  { columns, curves, rows, load, link, baseline }: ComparisonView,
  { show, against }: DrawnParts,
  { origin, date }: Source,
): LineChart {
  const along = against ?? "time";
  const { valuesOf, ...across } = ACROSS[along];
  const wanted = show ?? USUAL_PARTS;
  const parts = wanted.filter((part) => curves.some((curve) => curve[part].length > 0) || wanted.length === 1);
  const indexOf = (id: string) => curves.findIndex(({ column }) => column === id);
  const missing = columns.filter(({ id }) => !curves.some(({ column }) => column === id));
  const atLoad = rows.filter((row) => row.load === load);
  const disputed = columns.filter((_, i) => atLoad.some(({ cells }) => cells[i]?.disputed));
  const names = columns.map(columnName);
  const of = `${columns[0]?.kind ?? "run"}s`;
  const under = load === null ? "no common standard load" : `a standard load of ${load} A`;
  return {
    kind: "lines",
    caption: {
      title: columns.length > 2 ? `${columns.length} ${of} under ${under}` : `${names.join(" and ")} under ${under}`,
      subtitle: subtitleOf(of, parts),
      description: `Curves of ${names.join(", ")} against ${across.name.toLowerCase()}.`,
      notes: [
        ...(missing.length === 0 ? [] : [`Without a curve at this load: ${missing.map(columnName).join("; ")}.`]),
        ...(disputed.length === 0
          ? []
          : [`With disputed values at this load: ${disputed.map(columnName).join("; ")}.`]),
      ],
      source: `${origin}${link}`,
      date,
    },
    across,
    legend: curves.map(({ column }) => {
      const index = indexOf(column);
      const name = names[columns.findIndex(({ id }) => id === column)];
      return { index, kind: "line", name: `${name}${column === baseline ? " (baseline)" : ""}` };
    }),
    panels: (parts.length > 0 ? parts : wanted.slice(0, 1)).map((part) => ({
      quantity: QUANTITIES[part],
      minSpan: MIN_SPANS[part] ?? 0,
      series: curves.map((curve) => ({
        index: indexOf(curve.column),
        kind: "line",
        points: valuesOf(curve).flatMap((x, i) => {
          const y = curve[part][i];
          return y === undefined ? [] : [{ x, y, yHalf: (bandPercent(curve, part) / 100) * Math.abs(y) }];
        }),
      })),
    })),
    instants: along === "time" ? marksWithin(curves) : [],
  };
}

const DRAWN_BY: Readonly<Record<string, string>> = {
  packs: "Each pack by the run nearest to the value that all its testers make.",
  specimens: "Each specimen by the run nearest to the mean of its runs.",
};

function subtitleOf(of: string, parts: readonly DrawnQuantity[]): string {
  const bands = parts.some((part) => part === "power" || part === "voltage");
  return [
    DRAWN_BY[of] ?? "",
    bands ? "Bands: U\u00a0=\u00a02\u00a0u at 10 s." : "",
    parts.includes("temperature") ? "Temperature under the run's own load." : "",
  ]
    .filter((part) => part !== "")
    .join(" ");
}

function marksWithin(curves: readonly ComparisonCurveView[]): { value: number; name: string }[] {
  const longest = Math.max(0, ...curves.map(({ time }) => time.at(-1) ?? 0));
  return MARKS_S.filter((mark) => mark < longest).map((value) => ({ value, name: `${value} s` }));
}

/** Half-width of the band about a quantity, %; 0 where none is stated. */
function bandPercent({ powerBandPercent, voltageBandPercent }: ComparisonCurveView, part: DrawnQuantity): number {
  return (part === "power" ? powerBandPercent : part === "voltage" ? voltageBandPercent : null) ?? 0;
}

/** A column in a picture: its pack, who tested it, and which specimen where the column is of one. */
export function columnName({ kind, pack, tester, specimen }: ComparisonColumnView): string {
  const parts = [`${pack.maker} ${pack.name}`, tester?.handle, ...(OF_SPECIMENS.has(kind) ? [specimen?.label] : [])];
  return parts.flatMap((part) => (part ? [nameWithin(part)] : [])).join(", ");
}
