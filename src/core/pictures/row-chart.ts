import { type Content, framed, MARGIN } from "./frame.js";
import { legend } from "./legend.js";
import { acrossAxis, acrossOf } from "./panel.js";
import { type Picture, quantityText, type RowChart, type ValueRow } from "./picture.js";
import { colourOf, mark } from "./style.js";
import { element, px } from "./svg.js";
import { FAINT_INK, fitted, INK, type MeasureText, textLine, wrapped } from "./text.js";

const SIZE = 12;
const ROW = 24;
/** Under this width a row's name stands over its value and not beside it. */
const NARROW = 560;
const GAP = 10;

/**
 * Draws one value with its interval a row, such as the packs of a ranking or the testers of a pack: the name at the left, the value in words at
 * the right, and where there is one, a value of all with its band behind them.
 */
export function rowChart(chart: RowChart, width: number, measure: MeasureText): Picture {
  return framed(chart.caption, width, measure, (top) => content(chart, width, measure, top));
}

function content(chart: RowChart, width: number, measure: MeasureText, top: number): Content {
  const { rows, quantity, whole } = chart;
  const key = legend(chart.legend, top, width, measure);
  const stacked = width < NARROW;
  const inner = width - 2 * MARGIN;
  const widest = (texts: readonly string[]) => Math.max(0, ...texts.map((text) => measure(text, SIZE, false)));
  const names = Math.min(widest(rows.map(({ name }) => name)), inner * 0.42);
  const texts = Math.min(widest(rows.map(({ text }) => text)), inner * (stacked ? 0.5 : 0.3));
  const left = MARGIN + (stacked ? 8 : names + GAP * 2);
  const right = width - MARGIN - (stacked ? 8 : texts + GAP * 2);
  const pitch = stacked ? ROW * 1.7 : ROW;
  const first = top + key.height + (rows.length === 0 ? 40 : 4);
  const box = { left, right, top: first, bottom: first + rows.length * pitch + 6 };
  const values = rows.flatMap(({ value, half }) => [value - half, value + half]);
  if (whole) values.push(whole.value - whole.half, whole.value + whole.half);
  const x = acrossOf(values, [left + 8, right - 8], { rounded: false, isCounted: false }, measure);
  const all = whole
    ? element("rect", {
        x: x.at(whole.value - whole.half),
        y: box.top,
        width: Math.max(1, x.at(whole.value + whole.half) - x.at(whole.value - whole.half)),
        height: box.bottom - box.top,
        fill: "#777777",
        "fill-opacity": 0.2,
      }) + element("path", { d: `M${px(x.at(whole.value))} ${px(box.top)}V${px(box.bottom)}`, stroke: "#555555" })
    : "";
  const drawn = rows.map((row, i) => {
    const start = first + i * pitch;
    const middle = stacked ? start + ROW * 1.2 : start + ROW / 2 + 3;
    const text = stacked ? start + SIZE + 2 : middle + SIZE * 0.36;
    const name = fitted(row.name, stacked ? inner - texts - GAP : names, { size: SIZE }, measure);
    const value = fitted(row.text, texts, { size: SIZE }, measure);
    return [
      interval(row, x.at, middle),
      textLine(name, MARGIN, text, { size: SIZE, colour: row.hollow ? FAINT_INK : INK }, { rim: stacked }),
      textLine(value, width - MARGIN, text, { size: SIZE, colour: FAINT_INK }, { anchor: "end", rim: stacked }),
    ].join("");
  });
  const nothing =
    rows.length === 0
      ? textLine("No data", width / 2, top + key.height + 24, { size: 13, colour: FAINT_INK }, { anchor: "middle" })
      : "";
  const lines = wrapped(quantityText(quantity), inner, { size: SIZE, bold: true }, 2, measure);
  const titles = lines.map((line, i) =>
    textLine(line, width / 2, box.bottom + 38 + i * 16, { size: SIZE, bold: true }, { anchor: "middle" }),
  );
  return {
    height: box.bottom + 38 + lines.length * 16 - 8 - top,
    svg: [key.svg, acrossAxis(box, x, true), all, ...drawn, nothing, ...titles].join(""),
  };
}

function interval({ value, half, index, hollow = false }: ValueRow, at: (value: number) => number, y: number): string {
  const [low, high] = [px(at(value - half)), px(at(value + half))];
  const ends = `M${low} ${px(y - 4)}v8M${low} ${px(y)}H${high}M${high} ${px(y - 4)}v8`;
  const dash = hollow ? "3 2" : null;
  const bar = element("path", {
    d: ends,
    fill: "none",
    stroke: colourOf(index),
    "stroke-width": 1.6,
    "stroke-dasharray": dash,
  });
  return bar + mark(index, at(value), y, hollow);
}
