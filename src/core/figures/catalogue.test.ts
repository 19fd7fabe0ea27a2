import { describe, expect, test } from "@jest/globals";
import type { PackFacts } from "../model.js";
import { FIGURE_KEYS, FIGURES, unitOfFigure } from "./catalogue.js";
import type { ReadingKey } from "./readings.js";

const PACK: PackFacts = {
  chemistry: "lipo",
  series: 4,
  parallel: 1,
  ratedCapacityMah: 5000,
  labelContinuousC: null,
  labelBurstC: null,
  massGrams: 500,
};

const READS: Partial<Record<ReadingKey, number>> = {
  "power-peak": 1600,
  "power-10s": 1500,
  "power-30s": 1440,
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
};

const computed = (key: string, reads = READS, pack = PACK): number | null => {
  const formula = FIGURES.find((figure) => figure.key === key);
  if (!formula) throw new Error(`no figure ${key}`);
  return formula.from((read) => reads[read] ?? null, pack);
};

describe("a figure follows from what was read by its formula", () => {
  // docs/definitions.md, "Figures under the run's own load"; worked by hand.
  test.each([
    ["power-10s", 1500, "W"],
    ["voltage-10s", 15, "V"],
    ["current-10s", 100, "A"],
    ["capacity", 4750, "mAh"],
    ["energy", 70, "Wh"],
    ["runtime", 171, "s"],
    ["resistance-1s", 10, "mohm"],
    ["resistance-10s", 18, "mohm"],
    ["sag-10s", 0.45, "V"],
    ["hold-30s", 0.9, "ratio"],
    ["temperature-rise", 30, "K"],
    ["specific-energy", 140, "Wh/kg"],
    ["specific-power-10s", 3000, "W/kg"],
    ["capacity-share", 0.95, "ratio"],
  ])("%s is %d %s", (key, value, unit) => {
    expect(computed(key)).toBeCloseTo(value, 9);
    expect(unitOfFigure(key)).toBe(unit);
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
