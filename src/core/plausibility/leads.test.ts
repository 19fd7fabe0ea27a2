import { describe, expect, test } from "@jest/globals";
import { instants, traceOf } from "../../../test/support/traces.js";
import { conductorResistanceOhm } from "../trace/sense.js";
import { leadsRaise, leadsWarmedK } from "./leads.js";
import { type RunToJudge, signsOf } from "./signs.js";

/** A constant current on a pack of 14.5 V at its terminals, the leads' drop added. */
const under = (amperes: number, seconds: number) =>
  traceOf(instants(-3, seconds + 6, 20), {
    volts: (t) => (t >= 0 && t <= seconds ? 14.5 : 16.5),
    amperes: (t) => (t >= 0 && t <= seconds ? amperes : 0),
  });

describe("what is added for leads", () => {
  // 100 A: 2.6 mohm lose 0.26 V of 14.5 V, 0.26 / 14.24 of the power at the sense point; 9 mohm 0.9 V.
  test.each([
    [0.0026, 1.826],
    [0.009, 6.618],
  ])("%d ohm at 100 A raise the power by their drop over the voltage that is sensed", (ohm, percent) => {
    expect(leadsRaise(under(100, 60), ohm)).toBeCloseTo(percent, 2);
  });

  test("nothing is raised without leads, or before the mark", () => {
    expect(leadsRaise(under(100, 60), 0)).toBeNull();
    expect(leadsRaise(under(100, 8), 0.005)).toBeNull();
  });

  // 6e5 A2s x 0.752 left of the heat x (5 mohm/m)^2 over 58 MS/m and 3.45 MJ/(m3 K), worked by hand.
  test("a pair of 1 m and 10 mohm is warmed by 190 K in a minute at 100 A", () => {
    expect(leadsWarmedK(under(100, 60), 0.01)).toBeCloseTo(190, -1);
    expect(leadsWarmedK(under(100, 60), 0)).toBe(0);
  });

  test("heat goes with the square of the current and of the resistance", () => {
    const once = leadsWarmedK(under(50, 60), 0.004);
    expect(leadsWarmedK(under(100, 60), 0.004) / once).toBeCloseTo(4, 2);
    expect(leadsWarmedK(under(50, 60), 0.008) / once).toBeCloseTo(4, 2);
  });
});

describe("signs by the leads", () => {
  const signs = (amperes: number, leadsOhm: number) => {
    const nothing = { resistanceMilliohmAh: null, meanCellVolts: null, wattHoursPerKg: null };
    const run: RunToJudge = {
      trace: under(amperes, 60),
      chemistry: "lipo",
      own: nothing,
      others: [],
      leadsOhm,
      heatPercent: null,
      places: { first: 0, figures: 0, packs: 0 },
    };
    return signsOf(run).flatMap(({ sign, weak }) => (sign.startsWith("leads-") ? [[sign, weak]] : []));
  };

  test.each([
    [100, 0.0026],
    [200, 2 * conductorResistanceOhm(8, 150)],
    [30, 2 * conductorResistanceOhm(14, 300)],
    [100, 0],
  ])("leads fit for %d A, of %d ohm, show none", (amperes, ohm) => {
    expect(signs(amperes, ohm)).toEqual([]);
  });

  test("5 mohm at 100 A raise the power by more than leads do, and are a weak sign", () => {
    expect(signs(100, 0.005)).toEqual([["leads-raise-power", true]]);
  });

  test("leads that the load would burn are a strong one", () => {
    expect(signs(100, 0.011)).toEqual([
      ["leads-beyond-copper", false],
      ["leads-raise-power", true],
    ]);
  });
});
