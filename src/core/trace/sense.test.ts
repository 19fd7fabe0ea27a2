import { describe, expect, test } from "@jest/globals";
import { COPPER_OHM_MM2_PER_M, conductorResistanceOhm, diameterOfGaugeMm, senseResistanceOhm } from "./sense.js";

const relativeError = (got: number, expected: number) => Math.abs(got / expected - 1);

test("annealed copper has 0.017241 ohm mm2/m at 20 degC (IEC 60028: 58 MS/m, read in a secondary source)", () => {
  expect(COPPER_OHM_MM2_PER_M).toBeCloseTo(0.017241, 6);
});

// ASTM B258 rounds the diameters to 128.5, 101.9, 80.8 and 64.1 mil (from memory). 1 mil = 0.0254 mm.
test.each([
  [8, 128.5],
  [10, 101.9],
  [12, 80.8],
  [14, 64.1],
])("gauge %d is %d mil thick within 0.1 % (ASTM B258)", (gauge, mils) => {
  expect(relativeError(diameterOfGaugeMm(gauge), mils * 0.0254)).toBeLessThan(0.001);
});

// Derived from ASTM B258's diameters and IEC 60028's copper. Printed wire tables give gauges 12 and 14 as 1.5880 and 2.525 ohm
// per 1000 ft (read in a secondary source); 1000 ft = 304.8 m.
test.each([
  [8, 2.06067],
  [10, 3.27692],
  [12, 5.21185],
  [14, 8.2813],
  [12, (1.588 / 304.8) * 1000],
  [14, (2.525 / 304.8) * 1000],
])("a metre of gauge %d copper has %d mohm within 0.1 %", (gauge, milliohm) => {
  expect(relativeError(1000 * conductorResistanceOhm(gauge, 1000), milliohm)).toBeLessThan(0.001);
});

describe("the resistance before the sense point", () => {
  test("is none at the pack, whatever else is stated", () => {
    expect(senseResistanceOhm({ point: "pack", resistanceMilliohm: 3 })).toBe(0);
  });
  test("is that of both leads, twice the one-way length", () => {
    const both = senseResistanceOhm({ point: "lead", gaugeAwg: 12, lengthMm: 150 });
    expect(both).toBeCloseTo((5.21081e-3 * 300) / 1000, 8);
  });
  test("is the declared one, before the one by gauge and length", () => {
    expect(senseResistanceOhm({ point: "lead", resistanceMilliohm: 1.5, gaugeAwg: 12, lengthMm: 150 })).toBe(0.0015);
    expect(senseResistanceOhm({ point: "lead", resistanceMilliohm: 0 })).toBe(0);
  });
  test.each([
    { point: "lead" },
    { point: "lead", gaugeAwg: 12 },
    { point: "lead", lengthMm: 100, resistanceMilliohm: null, gaugeAwg: null },
  ] as const)("is unknown for %j", (sense) => expect(senseResistanceOhm(sense)).toBeNull());
});
