import { describe, expect, it } from "@jest/globals";
import { overlaps, readSvg, textBoxes } from "../../../test/support/pictures/read-svg.js";
import { measureByFonts } from "../../platform/pictures/fonts.js";
import { lineChart } from "./line-chart.js";
import type { Caption, Chart, LegendEntry, Point, Series } from "./picture.js";
import { rowChart } from "./row-chart.js";
import { nameWithin } from "./svg.js";

const measure = measureByFonts();
const draw = (chart: Chart, width: number) =>
  chart.kind === "lines" ? lineChart(chart, width, measure) : rowChart(chart, width, measure);

/** Names as a stranger may type them. */
const NAMES = [
  "Halden Cells Sprint 5000",
  "<script>alert(1)</script>",
  '"]]>&amp; <svg onload="x">',
  "שלום 5000 مرحبا",
  "A name of very many words that goes on and on, and is still not at its end after all of these",
  `${"Unbroken".repeat(30)}`,
  "電池パック 5000",
  "nul\u0000\u0007 \u202eevil\u202c \ud800",
  "",
];

const caption: Caption = {
  title: "Power of packs under a standard load of 100 A",
  subtitle: "Bands are U = 2 u at 10 s",
  description: "Curves fall slowly, then fast.",
  notes: [
    "1: a gap.",
    "A longer note that says how to read the picture and what was left out of it, in more than one line.",
  ],
  source: `https://bench.example/v1/comparisons?packs=${Array(4).fill("0199ab2e-e1a4-753d-899e-c914096834c6")}&load=100`,
  date: "2026-11-27",
};

const points = (start: number, count: number, scale = 1): Point[] =>
  Array.from({ length: count }, (_, i) => ({ x: i, y: (start - i * i * 0.03) * scale, yHalf: 9 * scale }));

const series = (count: number, length: number, scale = 1): Series[] =>
  Array.from({ length: count }, (_, index) => ({
    index,
    kind: "line",
    points: points(1500 - index * 20, length, scale),
  }));

const entries = (count: number): LegendEntry[] =>
  Array.from({ length: count }, (_, index) => ({
    index,
    kind: "line",
    name: nameWithin(NAMES[index % NAMES.length] ?? ""),
  }));

const lines = (count: number, length: number, scale = 1): Chart => ({
  kind: "lines",
  caption: { ...caption, title: nameWithin(NAMES[count % NAMES.length] ?? "") },
  across: { name: "Time", unit: "s" },
  legend: entries(count),
  panels: [
    {
      quantity: { name: "Power", unit: "W" },
      series: series(count, length, scale),
      levels: [
        { value: 1300 * scale, name: "asked for" },
        { value: 1301 * scale, name: "given" },
      ],
    },
    { quantity: { name: "Share", unit: null }, series: series(count, length, 1e-7 * scale) },
  ],
  instants: [0, 3.1, 3.2, 10, 30, 30, 181].map((value) => ({ value, name: `mark at ${value} s` })),
  spans: [
    { from: 2, to: 4, tag: "1" },
    { from: 3, to: 3, tag: "2" },
  ],
});

const rows = (count: number, scale = 1): Chart => ({
  kind: "rows",
  caption,
  quantity: { name: "Power at 10 s", unit: "W" },
  legend: [
    { index: 0, kind: "marks", name: "established" },
    { index: 0, kind: "marks", name: "provisional", hollow: true },
  ],
  rows: Array.from({ length: count }, (_, i) => ({
    name: `${i + 1}  ${nameWithin(NAMES[i % NAMES.length] ?? "")}`,
    text: `${1400 * scale} ± 9 W, ${i} testers`,
    value: (1400 - i) * scale,
    half: 9 * scale,
    index: 0,
    hollow: i % 2 === 1,
  })),
  whole: { value: 1390 * scale, half: 5 * scale },
});

const CHARTS: readonly (readonly [string, Chart])[] = [
  ["two curves", lines(2, 180)],
  ["twenty curves", lines(20, 180)],
  ["one point", lines(1, 1)],
  ["no points", lines(3, 0)],
  ["no series", lines(0, 0)],
  ["huge values", lines(2, 180, 1e12)],
  ["values below zero", lines(2, 180, -1e-9)],
  ["values that are no numbers", lines(2, 20, Number.NaN)],
  ["infinite values", lines(2, 20, Number.POSITIVE_INFINITY)],
  ["rows", rows(9)],
  ["a hundred rows", rows(100)],
  ["one row", rows(1)],
  ["no rows", rows(0)],
  ["huge rows", rows(3, 1e15)],
];
const WIDTHS = [320, 480, 900, 1600];

describe.each(CHARTS)("a picture of %s", (_, chart) => {
  it.each(WIDTHS)("is well-formed, with every text whole within it and over no other, at %d px", (width) => {
    const { svg, height } = draw(chart, width);
    const elements = readSvg(svg);
    const boxes = textBoxes(elements, measure);
    expect(overlaps(boxes)).toEqual([]);
    expect(
      boxes.filter(({ left, right, top, bottom }) => left < 0 || right > width + 0.5 || top < 0 || bottom > height),
    ).toEqual([]);
    const allowed = ["svg", "title", "desc", "rect", "path", "text"];
    expect(elements.map(({ name }) => name).filter((name) => !allowed.includes(name))).toEqual([]);
    expect(svg).not.toMatch(/NaN|Infinity|undefined/);
  });
});

it("is the same text for the same chart", () => {
  for (const [, chart] of CHARTS) expect(draw(chart, 700).svg).toBe(draw(chart, 700).svg);
});

// SVG 2, 5.8 and WAI-ARIA 1.2, img and aria-labelledby: how a picture is named and described to who does not see it.
it("tells who does not see it what it shows, and everybody where and when it is from and under which licence", () => {
  const elements = readSvg(draw(lines(2, 180), 900).svg);
  const find = (id: string) => elements.find(({ attributes }) => attributes.id === id)?.text;
  const [root] = elements;
  expect(root?.attributes.role).toBe("img");
  const [title = "", description = ""] = (root?.attributes["aria-labelledby"] ?? "").split(" ");
  expect(find(title)).toBe('"]]>&amp; <svg onload="x">');
  for (const part of [caption.description, caption.source, "2026-11-27", "CC BY 4.0"])
    expect(find(description)).toContain(part);
  const texts = elements.filter(({ name }) => name === "text").map(({ text }) => text);
  expect(texts).toContain("2026-11-27 · CC BY 4.0");
  expect(texts.join("")).toContain(caption.source);
  expect(texts).toContain("Power [W]");
  expect(texts).toContain("Time [s]");
});

it("draws a curve where its axes say, with its band about it", () => {
  const chart: Chart = {
    ...(lines(0, 0) as Extract<Chart, { kind: "lines" }>),
    instants: [],
    spans: [],
    panels: [
      {
        quantity: { name: "Power", unit: "W" },
        series: [
          {
            index: 0,
            kind: "line",
            points: [
              { x: 0, y: 0, yHalf: 10 },
              { x: 100, y: 100, yHalf: 10 },
            ],
          },
        ],
      },
    ],
  };
  const elements = readSvg(draw(chart, 900).svg);
  const place = (text: string, axis: "x" | "y") =>
    elements
      .filter(({ name, attributes }) => name === "text" && (axis === "y") === (attributes["text-anchor"] === "end"))
      .find((one) => one.text === text)?.attributes[axis];
  const [x0, x100, y0, y100] = [place("0", "x"), place("100", "x"), place("0", "y"), place("100", "y")].map(Number) as [
    number,
    number,
    number,
    number,
  ];
  const curve = elements.find(({ attributes }) => attributes.fill === "none")?.attributes.d ?? "";
  const [fromX, fromY, toX, toY] = (curve.match(/-?[\d.]+/g) ?? []).map(Number) as [number, number, number, number];
  expect(fromX).toBeCloseTo(x0, 1);
  expect(toX).toBeCloseTo(x100, 1);
  expect(fromY - toY).toBeCloseTo(y0 - y100, 1);
  const band = elements.find(({ attributes }) => attributes["fill-opacity"] === "0.2")?.attributes.d ?? "";
  const [, top, , , , , , bottom] = (band.match(/-?[\d.]+/g) ?? []).map(Number) as number[];
  expect(Math.abs((bottom as number) - (top as number))).toBeCloseTo(((y0 - y100) / 100) * 20, 1);
});

describe.each([[[9]], [[0]], [[0, 60]], [[9, 18]], [[250, 251]]])(
  "an axis of what is counted, with marks at %j",
  (ages) => {
    const chart: Chart = {
      kind: "lines",
      caption,
      across: { name: "Age", unit: "full cycles" },
      isCounted: true,
      legend: [],
      panels: [
        {
          quantity: { name: "Temperature", unit: "°C" },
          minSpan: 5,
          series: [{ index: 0, kind: "marks", points: ages.map((x) => ({ x, y: 21.2 + x / 1000 })) }],
        },
      ],
    };
    const elements = readSvg(draw(chart, 900).svg);
    const ticksOf = (anchor: string) =>
      elements
        .filter(({ name, attributes }) => name === "text" && attributes["text-anchor"] === anchor)
        .map(({ text }) => Number(text))
        .filter(Number.isFinite);

    it("has whole numbers alone, none of them below zero", () => {
      const across = ticksOf("middle");
      expect(across.length).toBeGreaterThan(1);
      expect(across.filter((one) => !Number.isInteger(one) || one < 0)).toEqual([]);
      expect([Math.min(...across) <= Math.min(...ages), Math.max(...across) >= Math.max(...ages)]).toEqual([
        true,
        true,
      ]);
    });

    it("has no mark on its ends, where the other axis would hide it", () => {
      const ends = elements.flatMap(({ attributes: { d = "", stroke } }) =>
        stroke === "#8a8a8a" ? [/^M([\d.]+) [\d.]+H([\d.]+)$/.exec(d)?.slice(1).map(Number) ?? []] : [],
      );
      const [left, right] = ends[0] as [number, number];
      const marks = elements.flatMap(({ attributes: { transform = "" } }) => {
        const at = /^translate\(([\d.]+) /.exec(transform)?.[1];
        return at === undefined ? [] : [Number(at)];
      });
      expect(marks).toHaveLength(ages.length);
      expect(marks.filter((x) => x < left + 8 || x > right - 8)).toEqual([]);
    });

    it("keeps noise about a steady value small", () => {
      const up = ticksOf("end");
      expect(Math.max(...up) - Math.min(...up)).toBeGreaterThanOrEqual(5);
    });
  },
);
