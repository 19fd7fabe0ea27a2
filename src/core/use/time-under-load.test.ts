import { describe, expect, it } from "@jest/globals";
import { knownModel } from "../../../test/support/known-pack-model.js";
import { demandOf, instants } from "./demand.js";
import { predictUse } from "./predict.js";
import { timeUnderLoad } from "./time-under-load.js";
import type { Use, UseStep } from "./use.js";

const load = (seconds: number): UseStep => ({ seconds, currentA: 60 });
const rest = (seconds: number): UseStep => ({ seconds, currentA: 0 });

describe("the time under load", () => {
  const demand = demandOf({ steps: [rest(100), load(10), rest(20), load(5)], repeats: 2 }, 4, 1);
  const time = timeUnderLoad(demand, instants(demand));

  // By hand: load from 100 to 110, 130 to 135, 235 to 245 and 265 to 270 s.
  it.each([
    [0, 0],
    [100, 0],
    [104, 4],
    [110, 10],
    [125, 10],
    [135, 15],
    [200, 15],
    [240, 20],
    [270, 30],
  ])("until %d s is %d s", (instant, loaded) => expect(time.until(instant)).toBeCloseTo(loaded, 9));

  it.each([
    [4, 104],
    [10, 110],
    [11, 131],
    [15, 135],
    [15.5, 235.5],
    [30, 270],
    [33, 273],
  ])("has been %d s at %d s", (loaded, instant) => expect(time.instantOf(loaded)).toBeCloseTo(instant, 9));
});

describe("the uncertainty of when a pack is empty", () => {
  const pack = knownModel({ source: (share) => 4.18 - 0.55 * share - 0.5 * share ** 14, seriesOhm: 0.003 });
  const predict = (steps: readonly UseStep[]) => {
    const use: Use = {
      steps,
      repeats: 1,
      startC: 25,
      ambientC: 25,
      cutoffVoltsPerCell: 3.3,
      reserve: 0,
      temperatureLimitC: 200,
    };
    return predictUse(pack, use, { kind: "unknown-specimen" });
  };
  const plain = predict([load(600)]);

  it.each([10, 600, 3000])("is the same after %d s of rest", (seconds) => {
    const rested = predict([rest(seconds), load(600)]);
    expect((rested.lasts?.value ?? 0) - seconds).toBeCloseTo(plain.lasts?.value ?? Number.NaN, 0);
    for (const [one, other] of [
      [rested.lasts, plain.lasts],
      [rested.limit?.at, plain.limit?.at],
    ]) {
      expect((one?.uncertainty ?? 0) / (other?.uncertainty ?? Number.NaN)).toBeCloseTo(1, 2);
    }
  });

  it("counts a rest that it reaches across, as the clock does", () => {
    const laps = Array.from({ length: 100 }, () => [load(6), rest(6)]).flat();
    const [lapped, u] = [predict(laps).lasts?.uncertainty ?? 0, plain.lasts?.uncertainty ?? Number.NaN];
    expect(lapped / u).toBeGreaterThan(1);
    expect(lapped / u).toBeLessThan(3);
  });
});
