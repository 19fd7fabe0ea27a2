import { extentOf, numberText, ticksOf } from "../axes.js";
import { drawing } from "../elements.js";
import type { DrawnTrace } from "../log/messages.js";

/** An instant to draw across all panels, s, with its name. */
export interface Mark {
  readonly atS: number;
  readonly name: string;
  readonly kind: "onset" | "mark" | "cutoff";
}

/** A stretch to shade, s. */
export interface Band {
  readonly fromS: number;
  readonly toS: number;
  readonly name: string;
  readonly kind: "finding" | "discharge" | "chosen";
  readonly choose?: () => void;
}

interface Panel {
  readonly name: string;
  readonly unit: string;
  readonly values: Float64Array;
  readonly kind: "voltage" | "current" | "temperature";
}

const LEFT = 56;
const RIGHT = 12;
const TOP = 66;
const PANEL = 130;
const GAP = 26;
const BOTTOM = 40;
/** Room for one name of a mark, in units of the drawing. */
const NAME_ROOM = 64;

/** Voltage, current and temperature over one time axis, each in a panel of its own, with marks across all of them. */
export function traceChart(
  trace: DrawnTrace,
  marks: readonly Mark[],
  bands: readonly Band[],
  title: string,
  width: number,
): SVGSVGElement {
  const panels = panelsOf(trace);
  const height = TOP + panels.length * (PANEL + GAP) + BOTTOM;
  const [first = 0, last = 1] = extentOf(trace.time);
  const x = (seconds: number) => LEFT + ((seconds - first) / (last - first || 1)) * (width - LEFT - RIGHT);
  const floor = TOP + panels.length * (PANEL + GAP) - GAP;
  return drawing(
    "svg",
    { viewBox: `0 0 ${width} ${height}`, class: "trace", role: "img", "aria-label": title },
    ...bands.map((band) => bandOf(band, x, floor, width)),
    ...ticksOf(first, last).flatMap((seconds) => [
      drawing("line", { class: "grid", x1: x(seconds), x2: x(seconds), y1: TOP, y2: floor }),
      drawing("text", { class: "tick", x: x(seconds), y: floor + 16, "text-anchor": "middle" }, numberText(seconds)),
    ]),
    drawing("text", { class: "tick", x: width - RIGHT, y: floor + 34, "text-anchor": "end" }, "Time, s"),
    ...panels.flatMap((panel, at) => panelOf(panel, trace.time, x, TOP + at * (PANEL + GAP), width)),
    ...marks.flatMap((mark, at) => markOf(mark, marks.slice(0, at), x, floor, width)),
  );
}

function panelsOf({ voltage, current, temperature }: DrawnTrace): Panel[] {
  return [
    ...(voltage ? [{ name: "Voltage", unit: "V", values: voltage, kind: "voltage" as const }] : []),
    { name: "Current", unit: "A", values: current, kind: "current" },
    ...(temperature
      ? [{ name: "Temperature", unit: "\u00b0C", values: temperature, kind: "temperature" as const }]
      : []),
  ];
}

function panelOf(
  { name, unit, values, kind }: Panel,
  time: Float64Array,
  x: (s: number) => number,
  top: number,
  width: number,
): SVGElement[] {
  const [low = 0, high = 1] = extentOf(values);
  const margin = (high - low || 1) * 0.06;
  const y = (value: number) => top + PANEL - ((value - low + margin) / (high - low + 2 * margin || 1)) * PANEL;
  const grid = ticksOf(low, high, 3).flatMap((value) => [
    drawing("line", { class: "grid", x1: LEFT, x2: width - RIGHT, y1: y(value), y2: y(value) }),
    drawing("text", { class: "tick", x: LEFT - 6, y: y(value) + 4, "text-anchor": "end" }, numberText(value)),
  ]);
  return [
    ...grid,
    drawing("rect", { class: "frame", x: LEFT, y: top, width: width - LEFT - RIGHT, height: PANEL }),
    drawing("path", { class: `line ${kind}`, d: pathOf(time, values, x, y) }),
    drawing("text", { class: "name", x: LEFT, y: top - 6 }, `${name}, ${unit}`),
  ];
}

/** Breaks where a value is missing. */
function pathOf(time: Float64Array, values: Float64Array, x: (s: number) => number, y: (v: number) => number): string {
  let pen = "M";
  let path = "";
  for (let at = 0; at < time.length; at++) {
    const value = values[at] as number;
    const seconds = time[at] as number;
    if (!Number.isFinite(value) || !Number.isFinite(seconds)) pen = "M";
    else {
      path += `${pen}${x(seconds).toFixed(1)} ${y(value).toFixed(1)}`;
      pen = "L";
    }
  }
  return path;
}

function bandOf(
  { fromS, toS, name, kind, choose }: Band,
  x: (s: number) => number,
  floor: number,
  width: number,
): SVGElement {
  const left = Math.max(LEFT, x(fromS));
  const right = Math.min(width - RIGHT, x(toS));
  const band = drawing(
    "rect",
    { class: `band ${kind}`, x: left, y: TOP, width: Math.max(2, right - left), height: floor - TOP },
    drawing("title", {}, name),
  );
  if (choose) band.addEventListener("click", choose);
  return band;
}

/** A name goes to the upper line where the one before it would touch it. */
function markOf(
  { atS, name, kind }: Mark,
  before: readonly Mark[],
  x: (s: number) => number,
  floor: number,
  width: number,
): SVGElement[] {
  const at = x(atS);
  const crowded = before.filter((other) => Math.abs(x(other.atS) - at) < NAME_ROOM).length % 3;
  const anchor = at > width - 60 ? "end" : at < LEFT + 20 ? "start" : "middle";
  return [
    drawing("line", { class: `mark ${kind}`, x1: at, x2: at, y1: TOP, y2: floor }),
    drawing("text", { class: "mark-name", x: at, y: TOP - 24 - crowded * 13, "text-anchor": anchor }, name),
  ];
}
