import { type Content, MARGIN } from "./frame.js";
import type { LegendEntry } from "./picture.js";
import { colourOf, dashOf, mark } from "./style.js";
import { element } from "./svg.js";
import { fitted, type MeasureText, textLine } from "./text.js";

const SIZE = 12;
const ROW = 20;
const SAMPLE = 34;
const GAP = 18;

/** What each series is, in rows that fit the width; names that do not fit one are cut. */
export function legend(entries: readonly LegendEntry[], top: number, width: number, measure: MeasureText): Content {
  if (entries.length === 0) return { height: 0, svg: "" };
  const inner = width - 2 * MARGIN;
  let [x, row] = [0, 0];
  const items = entries.map(({ index, name, kind, hollow = false }) => {
    const text = fitted(name, inner - SAMPLE, { size: SIZE }, measure);
    const taken = SAMPLE + measure(text, SIZE, false);
    if (x > 0 && x + taken > inner) [x, row] = [0, row + 1];
    const [left, middle] = [MARGIN + x, top + row * ROW + ROW / 2];
    x += taken + GAP;
    const line = element("path", {
      d: `M${left} ${middle}h${SAMPLE - 8}`,
      stroke: colourOf(index),
      "stroke-width": 2,
      "stroke-dasharray": dashOf(index),
    });
    const sample = mark(index, left + (SAMPLE - 8) / 2, middle, hollow);
    return (kind === "line" ? line : "") + sample + textLine(text, left + SAMPLE, middle + SIZE * 0.36, { size: SIZE });
  });
  return { height: (row + 1) * ROW + 6, svg: items.join("") };
}
