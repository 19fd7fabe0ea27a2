import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { initWasm, Resvg } from "@resvg/resvg-wasm";
import { lineChart } from "../../core/pictures/line-chart.js";
import type { Chart, Picture } from "../../core/pictures/picture.js";
import { rowChart } from "../../core/pictures/row-chart.js";
import type { MeasureText } from "../../core/pictures/text.js";
import { FONT_FILES, measureByFonts } from "./fonts.js";

export interface PictureTask {
  readonly chart: Chart;
  readonly width: number;
}

/** Most pixels of a PNG; a picture of more is made at a smaller scale. */
const MAX_PIXELS = 8_000_000;

let measure: MeasureText | undefined;
let fonts: Promise<readonly Uint8Array[]> | undefined;

/** Runs on a thread: a chart as the text of an SVG document. */
export const svgOf = (task: PictureTask): string => drawn(task).svg;

/** Runs on a thread: a chart as PNG, at a scale of so many pixels to one of its own, with the fonts of `FONT_FILES` alone. */
export async function pngOf({ scale, ...task }: PictureTask & { readonly scale: number }): Promise<Uint8Array> {
  const { svg, width, height } = drawn(task);
  fonts ??= prepare();
  const fontBuffers = [...(await fonts)];
  const value = Math.floor(width * Math.min(scale, Math.sqrt(MAX_PIXELS / (width * height))));
  const resvg = new Resvg(svg, {
    fitTo: { mode: "width", value },
    font: { fontBuffers, defaultFontFamily: "DejaVu Sans", sansSerifFamily: "DejaVu Sans" },
  });
  const image = resvg.render();
  const png = image.asPng();
  image.free();
  resvg.free();
  return png;
}

function drawn({ chart, width }: PictureTask): Picture {
  measure ??= measureByFonts();
  return chart.kind === "lines" ? lineChart(chart, width, measure) : rowChart(chart, width, measure);
}

async function prepare(): Promise<readonly Uint8Array[]> {
  const require = createRequire(import.meta.url);
  await initWasm(readFileSync(require.resolve("@resvg/resvg-wasm/index_bg.wasm")));
  return FONT_FILES.map((file) => readFileSync(file));
}
