import { describe, expect, it } from "@jest/globals";
import fc from "fast-check";
import { CHEMISTRIES } from "../model.js";
import { openCircuitCurve } from "../translation/open-circuit-curves.js";
import { expectedDischarge } from "./expected-discharge.js";

const source = { chemistry: "lipo", series: 4, capacityAh: 5, ohm: 0.008 } as const;

describe("an expected discharge", () => {
  it("without resistance takes Q / I to the last volt", () => {
    const { seconds, ampHours, packHeatJoules } = expectedDischarge({ ...source, ohm: 0 }, { amps: 50 }, 0);
    expect(seconds).toBeCloseTo(360, 9);
    expect(ampHours).toBeCloseTo(5, 12);
    expect(packHeatJoules).toBe(0);
  });

  it("under a resistance stands where Ohm's law puts it", () => {
    const { onset } = expectedDischarge(source, { ohm: 0.148 }, 13.2);
    // 16.8 V over 0.156 ohm.
    expect(onset.amps).toBeCloseTo(107.692, 3);
    expect(onset.volts).toBeCloseTo(15.938, 3);
  });

  it("of a load that pulls a full pack below the cutoff has no length", () => {
    expect(expectedDischarge(source, { amps: 460 }, 13.2)).toMatchObject({ seconds: 0, ampHours: 0 });
  });

  it("loses no energy: load and pack share what the source gives, and less comes out at more current", () => {
    const anything = fc.record({
      chemistry: fc.constantFrom(...CHEMISTRIES),
      series: fc.integer({ min: 1, max: 14 }),
      capacityAh: fc.double({ min: 0.1, max: 100, noNaN: true }),
      rate: fc.double({ min: 0.1, max: 15, noNaN: true }),
    });
    fc.assert(
      fc.property(anything, ({ chemistry, series, capacityAh, rate }) => {
        const pack = { chemistry, series, capacityAh, ohm: (series * 0.01) / capacityAh };
        const cutoffVolts = series * 2.9;
        const one = expectedDischarge(pack, { amps: rate * capacityAh }, cutoffVolts);
        const curve = openCircuitCurve(chemistry);
        let given = 0;
        for (let i = 0; i < Math.round((500 * one.ampHours) / capacityAh); i++) {
          given += series * curve(1 - (i + 0.5) / 500).volts * (capacityAh / 500) * 3_600;
        }
        expect((one.loadHeatJoules + one.packHeatJoules) / given).toBeCloseTo(1, 9);
        const more = expectedDischarge(pack, { amps: 1.3 * rate * capacityAh }, cutoffVolts);
        expect(more.ampHours).toBeLessThanOrEqual(one.ampHours);
      }),
      { seed: 7 },
    );
  });
});
