import { extentOf, numberText, ticksOf } from "../../axes.js";
import { drawing, element } from "../../elements.js";
import type { View } from "../../service/view.js";

/** A trace to lay over others. */
export interface Overlaid {
  readonly name: string;
  readonly trace: View<"TraceView">;
}

const [WIDTH, HEIGHT] = [520, 250];
const [LEFT, RIGHT, TOP, BOTTOM] = [48, 508, 12, 212];
const PANELS = [
  ["voltage", "Voltage, V"],
  ["current", "Current, A"],
] as const;
const COLOURS = 6;

/** Voltage and current of several runs, each laid over the others, the run that is looked at on top. */
export function overlaidTraces(runs: readonly Overlaid[]): HTMLElement[] {
  if (runs.length === 0) return [element("p", { class: "empty" }, "There is no trace to draw.")];
  return [
    element(
      "ul",
      { class: "legend" },
      ...runs.map(({ name }, at) =>
        element(
          "li",
          {},
          drawing(
            "svg",
            { class: classOf(at), viewBox: "0 0 28 8", "aria-hidden": "true" },
            drawing("path", { d: "M0 4H28" }),
          ),
          " ",
          element("bdi", {}, name),
        ),
      ),
    ),
    element("div", { class: "charts" }, ...PANELS.map(([channel, title]) => panel(channel, title, runs))),
  ];
}

const classOf = (at: number): string => `curve curve-${at % COLOURS}${at === 0 ? " looked-at" : ""}`;

function panel(channel: (typeof PANELS)[number][0], title: string, runs: readonly Overlaid[]): HTMLElement {
  const curves = runs.map(({ trace }) => ({ x: valuesOf(trace, "time"), y: valuesOf(trace, channel) }));
  const [, last] = extentOf(curves.flatMap(({ x }) => [...x]));
  const [low, high] = extentOf(curves.flatMap(({ y }) => [...y]));
  const x = (seconds: number) => LEFT + (seconds / (last || 1)) * (RIGHT - LEFT);
  const y = (value: number) => BOTTOM - ((value - low) / (high - low || 1)) * (BOTTOM - TOP);
  const paths = curves.map((curve, at) =>
    drawing("g", { class: classOf(at) }, drawing("path", { d: pathOf(curve.x.map(x), curve.y.map(y)) })),
  );
  return element(
    "figure",
    { class: "chart" },
    element("figcaption", {}, title),
    drawing(
      "svg",
      {
        viewBox: `0 0 ${WIDTH} ${HEIGHT}`,
        role: "img",
        "aria-label": `${title} over time, of ${runs.map(({ name }) => name).join(", ")}`,
      },
      ...ticksOf(low, high, 4).flatMap((value) => [
        drawing("line", { class: "grid", x1: LEFT, x2: RIGHT, y1: y(value), y2: y(value) }),
        drawing("text", { x: LEFT - 6, y: y(value) + 4, "text-anchor": "end" }, numberText(value)),
      ]),
      ...ticksOf(0, last).flatMap((seconds) => [
        drawing("line", { class: "grid", x1: x(seconds), x2: x(seconds), y1: BOTTOM, y2: BOTTOM + 4 }),
        drawing("text", { x: x(seconds), y: BOTTOM + 18, "text-anchor": "middle" }, numberText(seconds)),
      ]),
      drawing("text", { x: (LEFT + RIGHT) / 2, y: HEIGHT - 4, "text-anchor": "middle" }, "Time from onset, s"),
      ...paths.reverse(),
    ),
  );
}

const valuesOf = ({ channels }: View<"TraceView">, wanted: string): readonly number[] =>
  channels.find(({ channel }) => channel === wanted)?.values ?? [];

const pathOf = (xs: readonly number[], ys: readonly number[]): string =>
  ys.map((value, at) => `${at === 0 ? "M" : "L"}${(xs[at] ?? 0).toFixed(1)} ${value.toFixed(1)}`).join("");
