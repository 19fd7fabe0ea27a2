import { extent } from "d3-array";
import { instantNames, levels, namesHeight, placeNames, through } from "./annotations.js";
import { type Content, framed, MARGIN } from "./frame.js";
import { legend } from "./legend.js";
import { acrossAxis, acrossOf, type PlotBox, panelAxis, panelSeries, TICK_SIZE } from "./panel.js";
import { type LineChart, type Panel, type Picture, quantityText, type Series } from "./picture.js";
import { isDrawable, type Scale, scaleOf } from "./scale.js";
import { type MeasureText, textLine } from "./text.js";

/** Height of a panel as a share of the width, by how many there are; the last for more. */
const HEIGHTS = [0.5, 0.3, 0.22, 0.18] as const;
const MIN_HEIGHT = 110;
/** Room over a panel for the name of its quantity. */
const PANEL_HEAD = 26;

/**
 * Draws curves with bands of uncertainty, or single marks with intervals, in one or several panels above one axis:
 *
 *     lineChart({
 *       kind: "lines",
 *       caption: { title, subtitle, description, notes: [], source: "https://.../v1/...", date: "2026-05-02" },
 *       across: { name: "Time", unit: "s" },
 *       legend: [{ index: 0, name: "Maker Pack", kind: "line" }],
 *       panels: [{
 *         quantity: { name: "Power", unit: "W" },
 *         series: [{ index: 0, kind: "line", points: [{ x: 0, y: 1400, yHalf: 9 }, ...] }],
 *         levels: [{ value: 1200, name: "asked for" }],
 *       }],
 *       instants: [{ value: 10, name: "10 s" }],
 *     }, width, measure)
 *
 * `yHalf` is the half-width of the band, U = k u. A series' index gives its colour, dash and mark. Names may hold anything. Nothing
 * in it changes between two calls with the same input. A feature calls `Pictures.svg` or `.png` (platform), which do this on a thread.
 */
export function lineChart(chart: LineChart, width: number, measure: MeasureText): Picture {
  return framed(chart.caption, width, measure, (top) => content(chart, width, measure, top));
}

function content(chart: LineChart, width: number, measure: MeasureText, top: number): Content {
  const { panels, across } = chart;
  const key = legend(chart.legend, top, width, measure);
  const height = Math.max(MIN_HEIGHT, width * (HEIGHTS[Math.min(panels.length, HEIGHTS.length) - 1] as number));
  const scales = panels.map(
    (panel) => (box: readonly [number, number]) =>
      scaleOf(panel.quantity)(valuesOf(panel), { range: box, count: Math.max(3, height / 45), rounded: true }),
  );
  const texts = scales.flatMap((scale) => scale([1, 0]).ticks.map(({ text }) => measure(text, TICK_SIZE, false)));
  const [left, right] = [MARGIN + Math.max(16, ...texts) + 8, width - MARGIN - 6];
  const x = acrossScale(chart, [left, right], measure);
  const tags = (chart.spans ?? []).map(({ from, to, tag }) => ({ value: (from + to) / 2, name: tag }));
  const names = placeNames([...(chart.instants ?? []), ...tags], x, { left, right }, measure);
  const first = top + key.height + namesHeight(names);
  const drawn = panels.map((panel, i) => {
    const start = first + i * (height + PANEL_HEAD) + PANEL_HEAD;
    const box: PlotBox = { left, right, top: start, bottom: start + height };
    const y = (scales[i] as (typeof scales)[number])([box.bottom, box.top]);
    return [
      acrossAxis(box, x, i === panels.length - 1),
      panelAxis(panel, box, y, measure),
      through(chart, box, x),
      panelSeries(panel, box, x, y),
      levels(panel, box, x, y, measure),
    ].join("");
  });
  const bottom = first + panels.length * (height + PANEL_HEAD);
  const title = textLine(
    quantityText(across),
    (left + right) / 2,
    bottom + 36,
    { size: 12, bold: true },
    { anchor: "middle" },
  );
  return {
    height: bottom + 44 - top,
    svg: [key.svg, ...drawn, instantNames(names, first - 2), title].join(""),
  };
}

/** Single marks keep this far off both ends of the plot, px: one on its edge would be hidden by the axis. */
const MARK_INSET = 10;

/** Where there are single marks, the axis goes on beyond them to round values. */
function acrossScale(chart: LineChart, [left, right]: readonly [number, number], measure: MeasureText): Scale {
  const isMark = ({ kind, points }: Series) => kind === "marks" || points.length === 1;
  const hasMarks = chart.panels.some(({ series }) => series.some(isMark));
  const isCounted = chart.isCounted ?? false;
  const { isLogarithmic = false } = chart.across;
  const range = hasMarks ? ([left + MARK_INSET, right - MARK_INSET] as const) : ([left, right] as const);
  return acrossOf(valuesAcross(chart), range, { rounded: hasMarks, isCounted, isLogarithmic }, measure);
}

function valuesAcross({ panels, instants = [] }: LineChart): number[] {
  const points = panels.flatMap(({ series }) => series.flatMap((one) => one.points));
  return [...points.flatMap(({ x, xHalf = 0 }) => [x - xHalf, x + xHalf]), ...instants.map(({ value }) => value)];
}

function valuesOf({ series, levels: shown = [], minSpan = 0 }: Panel): number[] {
  const points = series.flatMap((one) => one.points);
  const values = [...points.flatMap(({ y, yHalf = 0 }) => [y - yHalf, y + yHalf]), ...shown.map(({ value }) => value)];
  const [low, high] = extent(values.filter(isDrawable));
  if (low === undefined || high - low >= minSpan) return values;
  const middle = (low + high) / 2;
  return [...values, middle - minSpan / 2, middle + minSpan / 2];
}
