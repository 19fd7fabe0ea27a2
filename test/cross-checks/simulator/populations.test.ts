import { describe, expect, test } from "@jest/globals";
import { CHEMISTRIES } from "../../../src/core/model.js";
import { CELL_VOLTS } from "./cell-volts.js";
import { STANDARD_LOADS_A } from "./load.js";
import { FORMULA_CURVES, TABLE_CURVES } from "./open-circuit.js";
import { drawPack, POPULATIONS } from "./populations.js";

const NAMES = Array.from({ length: 40 }, (_, n) => `drawn ${n}`);
const SHARES = Array.from({ length: 101 }, (_, k) => k / 100);

describe.each(POPULATIONS)("population %s", (population) => {
  test.each(CHEMISTRIES)(
    "%s packs are of 1 to 12 cells of 1 to 10 Ah with resistances above zero at every charge",
    (chemistry) => {
      const packs = NAMES.map((name) => drawPack(population, chemistry, name));
      for (const { facts, cell, suitedLoadA } of packs) {
        expect(facts.series).toBeGreaterThanOrEqual(1);
        expect(facts.series).toBeLessThanOrEqual(12);
        expect(cell.chargeCoulomb / 3600).toBeGreaterThanOrEqual(1);
        expect(cell.chargeCoulomb / 3600).toBeLessThanOrEqual(10);
        expect(STANDARD_LOADS_A).toContain(suitedLoadA);
        const shapes = [cell.seriesShape, cell.relaxationShape, cell.transferShape];
        expect(Math.min(...SHARES.flatMap((u) => shapes.map((shape) => shape(u))))).toBeGreaterThan(0.3);
        expect(cell.seriesOhm).toBeGreaterThan(0);
      }
      expect(new Set(packs.map(({ facts }) => facts.series)).size).toBeGreaterThan(8);
    },
  );

  test("a name decides the pack", () => {
    const [one, same, other] = ["a", "a", "b"].map((name) => drawPack(population, "lipo", name));
    expect(JSON.stringify(one)).toBe(JSON.stringify(same));
    expect(JSON.stringify(one)).not.toBe(JSON.stringify(other));
  });
});

// Voltages of full cells: common practice, no published source.
test.each(CHEMISTRIES)("both curves of %s fall all the way, from about full, and differ", (chemistry) => {
  for (const curve of [FORMULA_CURVES[chemistry], TABLE_CURVES[chemistry]]) {
    const volts = SHARES.map(curve);
    const rises = volts.filter((v, k) => k > 0 && v >= (volts[k - 1] as number));
    expect(rises).toEqual([]);
    if (chemistry !== "lifepo4") expect(volts[0]).toBeCloseTo(CELL_VOLTS[chemistry].full, 1);
    // A full LiFePO4 cell settles near 3.36 V.
    else expect(volts[0]).toBeCloseTo(3.37, 1);
  }
  const apart = SHARES.map((u) => Math.abs(FORMULA_CURVES[chemistry](u) - TABLE_CURVES[chemistry](u)));
  expect(Math.max(...apart)).toBeGreaterThan(0.01);
});

test("population A has one to three relaxations, B and C ten and charge transfer", () => {
  const counts = (population: (typeof POPULATIONS)[number]) =>
    new Set(NAMES.map((name) => drawPack(population, "lipo", name).cell.relaxations.length));
  expect(counts("A")).toEqual(new Set([1, 2, 3]));
  expect(counts("B")).toEqual(new Set([10]));
  expect(counts("C")).toEqual(new Set([10]));
  const transfer = NAMES.map((name) => drawPack("B", "lipo", name).cell.transfer);
  expect(transfer).not.toContain(null);
});
