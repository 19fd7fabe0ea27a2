import { expect, test } from "@jest/globals";
import fc from "fast-check";
import { STANDARD_LOADS_A, standardOhmPerCell } from "./standard-loads.js";

// ISO 3, series R10: 1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8 (from memory).
test("standard loads are the preferred numbers of the series R10, to the last bit", () => {
  expect(STANDARD_LOADS_A.filter((load) => load >= 10 && load < 1000)).toEqual([
    10, 12.5, 16, 20, 25, 31.5, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800,
  ]);
  expect(STANDARD_LOADS_A.slice(0, 4)).toEqual([0.1, 0.125, 0.16, 0.2]);
  expect(STANDARD_LOADS_A.at(-1)).toBe(8000);
});

// Derived from the definition of the series: rounded powers of 10^(1/10).
test("each is a rounded power of the tenth root of 10, within 1.3 %", () => {
  STANDARD_LOADS_A.forEach((load, i) => {
    expect(Math.abs(load / 10 ** (i / 10 - 1) - 1)).toBeLessThan(0.013);
  });
});

test("from any current of 0.15 to 6000 A, two to four are within 0.7 to 1.4 times, and one within 14 %", () => {
  fc.assert(
    fc.property(fc.double({ min: Math.log(0.15), max: Math.log(6000), noNaN: true }), (logarithm) => {
      const amps = Math.exp(logarithm);
      const ratios = STANDARD_LOADS_A.map((load) => load / amps).filter((ratio) => ratio >= 0.7 && ratio <= 1.4);
      expect([2, 3, 4]).toContain(ratios.length);
      expect(Math.min(...ratios.map((ratio) => Math.abs(Math.log(ratio))))).toBeLessThan(Math.log(1.14));
    }),
    { numRuns: 2000 },
  );
});

test("the standard load of 100 A is 3.7 V over 100 A for a cell", () => {
  expect(standardOhmPerCell(100)).toBeCloseTo(0.037, 15);
});
