import { describe, expect, test } from "@jest/globals";
import { instants } from "../../../test/support/traces.js";
import { fitHeatBalance, temperatureAfter, type Warming } from "./heat-balance.js";

// Lumped heating in closed form, derived: m c = 5000 J/K, h = 2 W/K, 40 A through 30 mohm (48 W). Its values were checked with a
// solver of differential equations.
const PACK = { heatingPerSquare: 0.03 / 5000, coolingRate: 2 / 5000 };
const at = (currentA: number, seconds: number, startC = 20, ambientC = 20) =>
  temperatureAfter(PACK, { currentA, startC, ambientC }, seconds);

describe("the temperature of a lumped pack", () => {
  test.each([
    [60, 0.56914296581],
    [180, 1.667258500531],
    [600, 5.120931334403],
    [2500, 15.170893411885],
    [1e9, 24],
  ])("after %d s is %d K above that of the surroundings", (seconds, rise) => {
    expect(at(40, seconds) - 20).toBeCloseTo(rise, 9);
  });

  test("without cooling rises by I^2 R t / (m c)", () => {
    const adiabatic = temperatureAfter({ ...PACK, coolingRate: 0 }, { currentA: 40, startC: 20, ambientC: 5 }, 180);
    expect(adiabatic - 20).toBeCloseTo(1.728, 12);
  });

  test("settles 40 K above the surroundings at the square root of h dT / R", () => {
    expect(at(51.63977794943223, 1e9) - 20).toBeCloseTo(40, 9);
  });

  test("of an unloaded warm pack falls to that of the surroundings", () => {
    expect(at(0, 2500, 40, 20)).toBeCloseTo(20 + 20 * Math.exp(-1), 12);
  });
});

describe("the fit of the heat balance", () => {
  const warming = (currentA: number, startC: number, toS: number): Warming => {
    const time = instants(0, toS, 2);
    return { time, temperature: time.map((t) => at(currentA, t, startC)), currentA, startC, ambientC: 20 };
  };

  test("finds the pack again from steps of different length, current and start", () => {
    const found = fitHeatBalance([warming(60, 20, 400), warming(80, 23, 250), warming(100, 18, 150)]);
    expect((found?.heatingPerSquare ?? 0) / PACK.heatingPerSquare).toBeCloseTo(1, 7);
    expect((found?.coolingRate ?? 0) / PACK.coolingRate).toBeCloseTo(1, 5);
  });

  test("finds none without points, nor for a pack that cools under load", () => {
    expect(fitHeatBalance([])).toBeNull();
    const time = instants(0, 100, 1);
    const cooling = { time, temperature: time.map((t) => 30 - t / 20), currentA: 50, startC: 30, ambientC: 30 };
    expect(fitHeatBalance([cooling])).toBeNull();
  });
});
