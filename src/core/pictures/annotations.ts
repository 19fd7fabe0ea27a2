import type { PlotBox } from "./panel.js";
import type { LineChart, Panel } from "./picture.js";
import { isDrawable, type Scale } from "./scale.js";
import { element, px } from "./svg.js";
import { FAINT_INK, fitted, type MeasureText, textLine } from "./text.js";

const SIZE = 11;
const ROW = 14;
/** Rows of names over the panels; what fits none of them is drawn without its name. */
const MAX_ROWS = 4;

interface Placed {
  readonly text: string;
  readonly x: number;
  readonly row: number;
}

/** The names of instants over the panels, each in the first row in which it meets no other. */
export function placeNames(
  instants: readonly { readonly value: number; readonly name: string }[],
  x: Scale,
  { left, right }: Pick<PlotBox, "left" | "right">,
  measure: MeasureText,
): Placed[] {
  const ends: number[] = [];
  return instants
    .toSorted((a, b) => a.value - b.value)
    .flatMap(({ value, name }) => {
      const text = fitted(name, right - left, { size: SIZE }, measure);
      const half = measure(text, SIZE, false) / 2;
      const middle = Math.min(Math.max(x.at(value), left + half), right - half);
      let row = ends.findIndex((end) => end + 6 <= middle - half);
      if (row < 0) row = ends.length;
      if (row >= MAX_ROWS) return [];
      ends[row] = middle + half;
      return [{ text, x: middle, row }];
    });
}

export const namesHeight = (placed: readonly Placed[]): number =>
  placed.length === 0 ? 0 : (Math.max(...placed.map(({ row }) => row)) + 1) * ROW + 4;

export const instantNames = (placed: readonly Placed[], bottom: number): string =>
  placed
    .map(({ text, x, row }) => textLine(text, x, bottom - row * ROW, { size: SIZE }, { anchor: "middle" }))
    .join("");

/** Lines through a panel at instants, and shaded spans. */
export function through({ instants = [], spans = [] }: LineChart, box: PlotBox, x: Scale): string {
  const shaded = spans.map(({ from, to }) => {
    const [left, right] = [Math.max(x.at(from), box.left), Math.min(x.at(to), box.right)];
    const width = Math.max(right - left, 2);
    return element("rect", {
      x: left,
      y: box.top,
      width,
      height: box.bottom - box.top,
      fill: "#f2c14e",
      "fill-opacity": 0.28,
    });
  });
  const lines = instants.map(({ value }) =>
    element("path", {
      d: `M${px(x.at(value))} ${px(box.top)}V${px(box.bottom)}`,
      stroke: "#555555",
      "stroke-dasharray": "2 2",
    }),
  );
  return [...shaded, ...lines].join("");
}

/** Values drawn across a panel, their names at the end where fewer points lie, one above the other where they are close. */
export function levels(
  { levels: shown = [], series }: Panel,
  box: PlotBox,
  x: Scale,
  y: Scale,
  measure: MeasureText,
): string {
  const points = series.flatMap((one) => one.points);
  let last = Number.POSITIVE_INFINITY;
  return shown
    .filter(({ value }) => isDrawable(value))
    .toSorted((a, b) => a.value - b.value)
    .map(({ value, name }) => {
      const at = y.at(value);
      const baseline = Math.max(Math.min(at - 4, last - ROW), box.top + SIZE);
      last = baseline;
      const text = fitted(name, box.right - box.left - 8, { size: SIZE }, measure);
      const line = element("path", {
        d: `M${px(box.left)} ${px(at)}H${px(box.right)}`,
        stroke: "#555555",
        "stroke-dasharray": "6 3",
      });
      const width = measure(text, SIZE, false) + 12;
      const near = points.filter((point) => Math.abs(y.at(point.y) - baseline) < ROW).map((point) => x.at(point.x));
      const atRight = near.filter((one) => one > box.right - width).length;
      const isLeft = atRight > near.filter((one) => one < box.left + width).length;
      const label = textLine(
        text,
        isLeft ? box.left + 4 : box.right - 4,
        baseline,
        { size: SIZE, colour: FAINT_INK },
        { anchor: isLeft ? "start" : "end", rim: true },
      );
      return line + label;
    })
    .join("");
}
