import { readFileSync } from "node:fs";
import { describe, expect, test } from "@jest/globals";
import { PACK } from "../../../test/support/facts.js";
import { FIGURE_KEYS, FIGURES, unitOfFigure } from "./catalogue.js";
import type { ReadingKey } from "./reading.js";

const READS: Partial<Record<ReadingKey, number>> = {
  "power-peak": 1600,
  "voltage-peak": 16,
  "current-peak": 100,
  "power-10s": 1500,
  "power-30s": 1440,
  "voltage-30s": 14.4,
  "current-30s": 100.5,
  "power-cutoff": 1300,
  "voltage-cutoff": 13.2,
  "current-cutoff": 98.5,
  "voltage-1s": 15.6,
  "current-1s": 120,
  "voltage-10s": 15,
  "current-10s": 100,
  "rest-voltage": 16.8,
  charge: 4.75,
  energy: 70,
  end: 171,
  "start-temperature": 22,
  "highest-temperature": 52,
  "time-to-limit": 150,
  "first-pulse-voltage": 16.4,
  "first-pulse-current": 1,
  "second-pulse-voltage": 16.32,
  "second-pulse-current": 5,
};

const computed = (key: string, reads = READS, pack = PACK): number | null => {
  const formula = FIGURES.find((figure) => figure.key === key);
  if (!formula) throw new Error(`no figure ${key}`);
  return formula.from((read) => reads[read] ?? null, pack);
};

// docs/definitions.md, "Figures under the run's own load"; worked by hand.
const WORKED: readonly (readonly [key: string, value: number, unit: string])[] = [
  ["power-peak", 1600, "W"],
  ["power-10s", 1500, "W"],
  ["power-30s", 1440, "W"],
  ["power-cutoff", 1300, "W"],
  ["voltage-peak", 16, "V"],
  ["voltage-10s", 15, "V"],
  ["voltage-30s", 14.4, "V"],
  ["voltage-cutoff", 13.2, "V"],
  ["current-peak", 100, "A"],
  ["current-10s", 100, "A"],
  ["current-30s", 100.5, "A"],
  ["current-cutoff", 98.5, "A"],
  ["capacity", 4750, "mAh"],
  ["energy", 70, "Wh"],
  ["runtime", 171, "s"],
  ["current-mean", 100, "A"],
  ["resistance-1s", 10, "mohm"],
  ["resistance-10s", 18, "mohm"],
  ["resistance-two-pulse", 20, "mohm"],
  ["resistance-1s-per-cell", 2.5, "mohm"],
  ["resistance-10s-per-cell", 4.5, "mohm"],
  ["resistance-two-pulse-per-cell", 5, "mohm"],
  ["resistance-1s-times-it", 0.0125, "V"],
  ["resistance-10s-times-it", 0.0225, "V"],
  ["resistance-two-pulse-times-it", 0.025, "V"],
  ["sag-10s", 0.45, "V"],
  ["hold-30s", 0.9, "ratio"],
  ["temperature-rise", 30, "K"],
  ["time-to-limit", 150, "s"],
  ["specific-energy", 140, "Wh/kg"],
  ["specific-power-10s", 3000, "W/kg"],
  ["capacity-share", 0.95, "ratio"],
];

describe("a figure follows from what was read by its formula", () => {
  test.each(WORKED)("%s is %d %s", (key, value, unit) => {
    expect(computed(key)).toBeCloseTo(value, 9);
    expect(unitOfFigure(key)).toBe(unit);
  });

  test("every figure is worked by hand above", () => {
    expect(FIGURE_KEYS.filter((key) => !WORKED.some(([worked]) => worked === key))).toEqual([]);
  });

  test("every figure is defined in docs/definitions.md, by its key or with its family", () => {
    const definitions = readFileSync(new URL("../../../docs/definitions.md", import.meta.url), "utf8");
    const family = (key: string) =>
      key.replace(/^(voltage|current)-(?=peak|10s|30s|cutoff)/, "power-").replace(/-(per-cell|times-it)$/, "");
    expect(FIGURE_KEYS.filter((key) => !definitions.includes(`\`${family(key)}\``))).toEqual([]);
  });

  test.each(FIGURE_KEYS)("%s is absent when nothing was read", (key) => expect(computed(key, {})).toBeNull());

  test.each(["specific-energy", "specific-power-10s"])("%s is absent for a pack of unknown mass", (key) => {
    expect(computed(key, READS, { ...PACK, massGrams: null })).toBeNull();
  });

  test("a resistance is absent where no current flowed", () => {
    expect(computed("resistance-10s", { ...READS, "current-10s": 0 })).toBeNull();
  });
});

test("every figure has a key of its own", () => expect(new Set(FIGURE_KEYS).size).toBe(FIGURE_KEYS.length));
test("a figure that does not exist has no unit", () => expect(unitOfFigure("no-such-figure")).toBeNull());
