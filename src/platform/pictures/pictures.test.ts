import { afterAll, beforeAll, expect, it } from "@jest/globals";
import type { Chart } from "../../core/pictures/picture.js";
import { readConfig } from "../config/config.js";
import { Threads } from "../threads/threads.js";
import { Pictures } from "./pictures.js";

let threads: Threads;
let pictures: Pictures;
beforeAll(() => {
  threads = new Threads(readConfig({ EVALUATION_THREADS: "1" }));
  pictures = new Pictures(threads);
});
afterAll(() => threads.onApplicationShutdown());

const chart = (rows: number): Chart => ({
  kind: "rows",
  caption: {
    title: "Packs",
    subtitle: "",
    description: "",
    notes: [],
    source: "https://bench.example",
    date: "2026-11-27",
  },
  quantity: { name: "Power", unit: "W" },
  legend: [],
  rows: Array.from({ length: rows }, (_, i) => ({ name: `Pack ${i}`, text: "", value: 1400 - i, half: 9, index: 0 })),
});

/** Width and height of a PNG (its IHDR chunk: W3C PNG, 11.2.1). */
function sizeOf(png: Buffer): [number, number] {
  expect(png.subarray(0, 8)).toEqual(Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]));
  expect(png.toString("latin1", 12, 16)).toBe("IHDR");
  return [png.readUInt32BE(16), png.readUInt32BE(20)];
}

it("makes a PNG of the picture's size at the scale asked for, the same each time", async () => {
  const svg = await pictures.svg(chart(5), 600);
  const height = Number(svg.match(/ height="(\d+)"/)?.[1]);
  const png = await pictures.png(chart(5), 600, 2);
  expect(sizeOf(png)).toEqual([1200, 2 * height]);
  expect(await pictures.png(chart(5), 600, 2)).toEqual(png);
});

it("draws text with the fonts of its package", async () => {
  const [some, none] = [await pictures.png(chart(5), 600, 1), await pictures.png(chart(0), 600, 1)];
  expect(some.length).toBeGreaterThan(none.length + 1_000);
});

it("bounds the pixels of a PNG, however long the picture is", async () => {
  const [width, height] = sizeOf(await pictures.png(chart(2_000), 600, 2));
  expect(width * height).toBeLessThanOrEqual(8_000_000);
  expect(width).toBeGreaterThan(100);
});
