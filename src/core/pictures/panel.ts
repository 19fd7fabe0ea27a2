import { extent } from "d3-array";
import { area, line } from "d3-shape";
import type { Panel, Point, Series } from "./picture.js";
import { quantityText } from "./picture.js";
import { isDrawable, type Scale, scaleOf } from "./scale.js";
import { colourOf, dashOf, mark } from "./style.js";
import { element, px } from "./svg.js";
import { FAINT_INK, fitted, type MeasureText, textLine } from "./text.js";

/** Where a panel's plot lies, px. */
export interface PlotBox {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}

export const TICK_SIZE = 11;
const GRID = "#e2e2e2";
const AXIS = "#8a8a8a";
/** Above so many points a curve is drawn thinner, so that its scatter stays readable. */
const MANY_POINTS = 600;
/** Distance between the marks on a curve, px. */
const MARK_EVERY = 90;

/** Grid, ticks and quantity of a panel's own axis. */
export function panelAxis(panel: Panel, box: PlotBox, scale: Scale, measure: MeasureText): string {
  const lines = scale.ticks.map(({ value, text }) => {
    const y = scale.at(value);
    const grid = element("path", { d: `M${px(box.left)} ${px(y)}H${px(box.right)}`, stroke: GRID });
    return grid + textLine(text, box.left - 6, y + TICK_SIZE * 0.36, { size: TICK_SIZE }, { anchor: "end" });
  });
  const name = fitted(quantityText(panel.quantity), box.right - box.left, { size: 12, bold: true }, measure);
  return lines.join("") + textLine(name, box.left, box.top - 8, { size: 12, bold: true });
}

/** The axis under a panel; its ticks' texts only where they are asked for. */
export function acrossAxis(box: PlotBox, scale: Scale, hasTexts: boolean): string {
  const lines = scale.ticks.map(({ value, text }) => {
    const x = scale.at(value);
    const grid = element("path", { d: `M${px(x)} ${px(box.top)}V${px(box.bottom)}`, stroke: GRID });
    const label = textLine(text, x, box.bottom + TICK_SIZE + 5, { size: TICK_SIZE }, { anchor: "middle" });
    return hasTexts ? grid + label : grid;
  });
  const base = element("path", { d: `M${px(box.left)} ${px(box.bottom)}H${px(box.right)}`, stroke: AXIS });
  return lines.join("") + base;
}

interface AcrossOptions {
  readonly rounded: boolean;
  readonly isCounted: boolean;
  readonly isLogarithmic?: boolean;
}

/** A scale of what is across, with as many ticks as have room for their texts. */
export function acrossOf(
  values: readonly number[],
  range: readonly [number, number],
  { rounded, isCounted, isLogarithmic = false }: AcrossOptions,
  measure: MeasureText,
): Scale {
  const room = range[1] - range[0];
  const covered = isCounted ? wholeSpan(values) : values;
  for (let count = Math.ceil(room / 60); ; count--) {
    const scale = scaleOf({ isLogarithmic })(covered, { range, count, rounded });
    const widest = Math.max(0, ...scale.ticks.map(({ text }) => measure(text, TICK_SIZE, false)));
    const isFine = !isCounted || scale.ticks.every(({ value }) => Number.isInteger(value));
    if (count <= 2 || (isFine && (widest + 12) * (scale.ticks.length - 1) <= room)) return scale;
  }
}

/** Whole numbers about what is counted, so far apart that a whole one lies between them. */
function wholeSpan(values: readonly number[]): number[] {
  const [least, largest] = extent(values.filter(isDrawable));
  if (least === undefined) return [];
  const [low, high] = [Math.floor(least), Math.ceil(largest)];
  if (high - low >= 2) return [low, high];
  const from = low > 0 ? low - 1 : low;
  return [from, Math.max(high + 1, from + 2)];
}

/** Bands first, then curves, then marks, so that no band hides a curve. */
export function panelSeries(panel: Panel, box: PlotBox, x: Scale, y: Scale): string {
  const drawn = panel.series.map(({ points, ...series }) => ({ ...series, points: points.filter(isFinitePoint) }));
  const lines = drawn.filter(({ kind }) => kind === "line");
  const bands = lines.map((series) => band(series, x, y, lines.length));
  const curves = lines.map((series) => curve(series, x, y));
  const several = lines.length > 1;
  const onCurves = lines.map((series) =>
    several || series.points.length === 1 ? marksOnCurve(series, x, y, lines.length) : "",
  );
  const points = drawn.filter(({ kind }) => kind === "marks").map((series) => marks(series, x, y));
  const empty = drawn.every(({ points }) => points.length === 0);
  const nothing = textLine(
    "No data",
    (box.left + box.right) / 2,
    (box.top + box.bottom) / 2,
    { size: 13, colour: FAINT_INK },
    { anchor: "middle" },
  );
  return [...bands, ...curves, ...onCurves, ...points, empty ? nothing : ""].join("");
}

const isFinitePoint = ({ x, y, xHalf = 0, yHalf = 0 }: Point) => [x, y, xHalf, yHalf].every(isDrawable);

function band({ points, index }: Series, x: Scale, y: Scale, count: number): string {
  if (!points.some(({ yHalf = 0 }) => yHalf > 0)) return "";
  const shape = area<Point>(
    (point) => x.at(point.x),
    (point) => y.at(point.y - (point.yHalf ?? 0)),
    (point) => y.at(point.y + (point.yHalf ?? 0)),
  ).digits(2);
  return element("path", { d: shape([...points]) ?? "", fill: colourOf(index), "fill-opacity": count > 4 ? 0.1 : 0.2 });
}

function curve({ points, index }: Series, x: Scale, y: Scale): string {
  const shape = line<Point>(
    (point) => x.at(point.x),
    (point) => y.at(point.y),
  ).digits(2);
  return element("path", {
    d: shape([...points]) ?? "",
    fill: "none",
    stroke: colourOf(index),
    "stroke-width": points.length > MANY_POINTS ? 1.2 : 1.8,
    "stroke-linejoin": "round",
    "stroke-dasharray": dashOf(index),
  });
}

/** A mark every so many px across, those of other series in between, so that curves that coincide still show both. */
function marksOnCurve({ points, index }: Series, x: Scale, y: Scale, count: number): string {
  const spacing = Math.max(MARK_EVERY, count * 14);
  let next = x.at(points[0]?.x ?? 0) + (points.length === 1 ? 0 : ((index % count) + 0.5) * (spacing / count));
  const shown = points.filter((point) => {
    if (x.at(point.x) < next) return false;
    while (next <= x.at(point.x)) next += spacing;
    return true;
  });
  return shown.map((point) => mark(index, x.at(point.x), y.at(point.y))).join("");
}

/** Single marks with their intervals. */
function marks({ points, index, hollow = false }: Series, x: Scale, y: Scale): string {
  const drawn = points.map((point) => {
    const [left, top] = [x.at(point.x), y.at(point.y)];
    const vertical = point.yHalf
      ? `M${px(left)} ${px(y.at(point.y - point.yHalf))}V${px(y.at(point.y + point.yHalf))}`
      : "";
    const across = point.xHalf
      ? `M${px(x.at(point.x - point.xHalf))} ${px(top)}H${px(x.at(point.x + point.xHalf))}`
      : "";
    const bars = vertical + across;
    const interval = bars ? element("path", { d: bars, stroke: colourOf(index), "stroke-width": 1.5 }) : "";
    return interval + mark(index, left, top, hollow);
  });
  return drawn.join("");
}
