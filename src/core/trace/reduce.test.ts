import { describe, expect, test } from "@jest/globals";
import fc from "fast-check";
import { reducedIndices } from "./reduce.js";

const channel = (length: number, seed: number) =>
  Float64Array.from({ length }, (_, i) => Math.sin(i * 0.37 + seed) * ((i * 7919) % 101));

describe("a trace reduced for a chart", () => {
  test("keeps every channel's extremes and stays within the points asked for", () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 5000 }), fc.integer({ min: 20, max: 800 }), (length, points) => {
        const channels = [channel(length, 1), channel(length, 2), channel(length, 3)];
        const kept = reducedIndices(channels, points);
        expect(kept.length).toBeLessThanOrEqual(points);
        expect([...kept]).toEqual([...new Set(kept)].sort((a, b) => a - b));
        for (const values of channels) {
          const seen = [...kept].map((i) => values[i] as number);
          expect(Math.max(...seen)).toBe(Math.max(...values));
          expect(Math.min(...seen)).toBe(Math.min(...values));
        }
      }),
      { numRuns: 200 },
    );
  });

  test("uses the points asked for, evenly, however smooth the channels are", () => {
    const length = 6_000;
    const smooth = [1, -1, 2, 0.5].map((slope) => Float64Array.from({ length }, (_, i) => slope * i));
    for (const points of [60, 240, 1_200]) {
      const kept = [...reducedIndices(smooth, points)];
      expect(kept.length).toBeGreaterThan(0.9 * points);
      expect(kept.length).toBeLessThanOrEqual(points);
      const gaps = kept.slice(1).map((index, i) => index - (kept[i] as number));
      expect(Math.max(...gaps)).toBeLessThan((2 * length) / points);
    }
  });

  test("keeps all samples when they are few enough", () => {
    expect([...reducedIndices([channel(5, 1)], 5)]).toEqual([0, 1, 2, 3, 4]);
  });
});
