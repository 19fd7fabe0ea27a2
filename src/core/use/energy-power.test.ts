import { describe, expect, it } from "@jest/globals";
import { knownModel } from "../../../test/support/known-pack-model.js";
import { energyAtPowers, evenPowers, powerReach, roundPowers } from "./energy-power.js";
import { currentReach } from "./validity.js";

const CELLS = 4;
const FULL_V = 4.2;
const CUTOFF_V = 3;
const OHM = 0.004;
/** The source falls by 1 V over 5 Ah. */
const FALL_PER_AS = 1 / (5 * 3600);
const model = knownModel({ source: (share) => FULL_V - share, seriesOhm: OHM });
const conditions = { startC: 23, ambientC: 23, cutoffVoltsPerCell: CUTOFF_V, temperatureLimitC: 90 };
const reach = powerReach(model, conditions);
const { points: chart, needed } = energyAtPowers(model, { kind: "mean" }, conditions, evenPowers(reach, 12));

// V^2 / 2 - R P ln V falls by k P a second (Ohm's law, integrated by hand).
const potential = (volts: number, watts: number) => volts ** 2 / 2 - OHM * watts * Math.log(volts);
function secondsAt(watts: number): number {
  const first = (FULL_V + Math.sqrt(FULL_V ** 2 - 4 * OHM * watts)) / 2;
  return (potential(first, watts) - potential(CUTOFF_V, watts)) / (FALL_PER_AS * watts);
}

describe("energy against power", () => {
  it("is that of the closed form at every power at which the cutoff is met", () => {
    const met = chart.filter(({ isLowerBound }) => !isLowerBound);
    expect(met.length).toBeGreaterThan(2);
    for (const { powerW, timeS, energyWh, ends } of met) {
      expect(Math.abs(timeS / secondsAt(powerW / CELLS) - 1)).toBeLessThan(1e-3);
      expect(energyWh).toBeCloseTo((powerW * timeS) / 3600, 9);
      expect(ends).toBe("voltage");
    }
  });

  it("is a lower bound where the charge was not measured to the cutoff", () => {
    // At gentle loads the source is still above the cutoff when all of the charge that any run drew is drawn.
    const [gentle] = chart;
    expect(gentle).toMatchObject({ isLowerBound: true, ends: null });
    expect(gentle?.timeS).toBeLessThan(secondsAt((gentle?.powerW as number) / CELLS));
    expect(needed.map(({ reason }) => reason)).toEqual(["charge"]);
  });

  it("says which run is needed where nothing is said of any power", () => {
    const cold = energyAtPowers(model, { kind: "mean" }, { ...conditions, startC: -20 }, evenPowers(reach, 3));
    expect([cold.points, cold.needed.map(({ reason }) => reason)]).toEqual([[], ["start-temperature"]]);
  });

  it("stays within the currents that the model reaches", () => {
    const { lowestMeanA, highestMeanA } = currentReach(model);
    for (const { powerW, timeS, energyWh } of chart) {
      expect(powerW / (CELLS * FULL_V)).toBeGreaterThanOrEqual(lowestMeanA * 0.9999);
      expect(powerW / (CELLS * CUTOFF_V)).toBeLessThanOrEqual(highestMeanA * 1.0001);
      expect([timeS > 0, energyWh > 0]).toEqual([true, true]);
    }
    expect(chart).toHaveLength(12);
  });

  it("ends where the pack becomes too hot", () => {
    const heat = {
      coreJoulePerKelvin: 20,
      skinJoulePerKelvin: 2,
      coreToSkinWattPerKelvin: 5,
      skinToAirWattPerKelvin: 0.01,
    };
    const { points: hot } = energyAtPowers(
      { ...model, heat, range: { ...model.range, maxC: 90 } },
      { kind: "mean" },
      { ...conditions, temperatureLimitC: 45 },
      evenPowers(reach, 3),
    );
    expect(hot.at(-1)).toMatchObject({ ends: "temperature", isLowerBound: false });
    expect(hot.at(-1)?.timeS).toBeLessThan(chart.at(-1)?.timeS as number);
  });

  // ISO 3, series R10 (from memory). 2 A from full to 140 A at the cutoff: 4 x 2 A x 4.2 V = 33.6 W to 4 x 140 A x 3 V = 1680 W.
  it("offers round powers that every pack is asked of alike", () => {
    expect(roundPowers(reach)).toEqual([
      40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600,
    ]);
    expect(roundPowers({ lowestW: 101, highestW: 124 })).toEqual([]);
  });
});
