import { describe, expect, test } from "@jest/globals";
import { randomOf } from "../../../test/cross-checks/simulator/random.js";
import { sampleNoise } from "./sample-noise.js";
import { summedNoise } from "./summed-cells.js";

const SAMPLES = 2000;
const STEP = 0.02;
const round = (volts: number) => Math.round(volts / STEP) * STEP;

/** Cells that fall evenly by 0.5 V, so far apart, each read in steps of 20 mV; and what the rounding of their sum really is. */
function read(apart: readonly number[], noise = 0) {
  const random = randomOf("summed cells");
  const truths = apart.map((volts) =>
    Float64Array.from({ length: SAMPLES }, (_, i) => 4.1 + volts - (0.5 * i) / SAMPLES),
  );
  const cells = truths.map((truth) => truth.map((volts) => round(volts + noise * random.normal())));
  const sumOf = (channels: readonly Float64Array[]) =>
    Float64Array.from({ length: SAMPLES }, (_, i) => channels.reduce((sum, one) => sum + (one[i] as number), 0));
  const [sum, truth] = [sumOf(cells), sumOf(truths)];
  const errors = sum.map((volts, i) => volts - (truth[i] as number));
  const rms = Math.sqrt(errors.reduce((total, error) => total + error * error, 0) / SAMPLES);
  const own = sampleNoise(sum, 0, SAMPLES);
  return { rms, own, found: summedNoise(own, { count: apart.length, cells }, 0, SAMPLES) };
}

describe("digits of a sum of cells, against the errors of rounding themselves", () => {
  test("one cell has its own", () => {
    const { rms, found, own } = read([0]);
    expect(found.resolution).toBeCloseTo(own.resolution, 9);
    expect(found.resolution / rms).toBeCloseTo(1, 1);
  });

  test.each([2, 6, 14])("%d cells in step round alike", (count) => {
    const { rms, found } = read(Array.from({ length: count }, () => 0));
    expect(found.resolution / rms).toBeCloseTo(1, 1);
    expect(found.resolution).toBeCloseTo((count * STEP) / Math.sqrt(12), 4);
  });

  test("cells apart by any share of a step have no less than they show, and no more than cells in step", () => {
    const random = randomOf("apart");
    for (let draw = 0; draw < 20; draw++) {
      const { rms, found } = read(Array.from({ length: 12 }, () => random.between(-0.02, 0.02)));
      expect(found.resolution).toBeGreaterThan(0.9 * rms);
      expect(found.resolution).toBeLessThan((12 * STEP) / Math.sqrt(12));
    }
  });

  test("noise above half a step averages the digits of each cell", () => {
    expect(read([0, 0, 0], 0.02).found.resolution).toBe(0);
  });

  test("cells that are not known any more count as independent", () => {
    const { own } = read([0, 0.004, 0.009]);
    expect(summedNoise(own, { count: 3, cells: [] }, 0, SAMPLES).resolution).toBeCloseTo(STEP / 2, 6);
  });
});
