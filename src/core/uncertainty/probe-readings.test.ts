import { describe, expect, test } from "@jest/globals";
import { createRandom } from "../../../seed/simulator/random.js";
import { instants } from "../../../test/support/traces.js";
import { seldomReadNoise } from "./probe-readings.js";

const TIME = instants(0, 200, 10);
const inDigits = (value: number, digit: number) => Number((Math.round(value / digit) * digit).toFixed(6));

/** A course of 0.2 K/s that is read every 4 s, with noise of 0.2 K and digits of 0.01 K. */
function readings(): number[] {
  const random = createRandom(4);
  return Array.from({ length: 51 }, (_, k) => inDigits(20 + 0.8 * k + 0.2 * random.gaussian(), 0.01));
}

const held = (values: readonly number[]) => TIME.map((t) => values[Math.floor(t / 4 + 1e-9)] as number);
const filledIn = (values: readonly number[]) =>
  TIME.map((t) => {
    const k = Math.min(49, Math.floor(t / 4 + 1e-9));
    const [a, b] = [values[k] as number, values[k + 1] as number];
    return a + ((b - a) * (t - 4 * k)) / 4;
  });

describe("of a temperature that is read every fortieth row", () => {
  test.each([
    ["repeated", held],
    ["filled in", filledIn],
  ])("and %s between, the noise is that of its readings", (_, rows) => {
    const found = seldomReadNoise(TIME, rows(readings()), 0, TIME.length);
    expect(found?.share).toBeGreaterThan(0.8 * (51 / 2001));
    expect(found?.share).toBeLessThan(2 * (51 / 2001));
    expect(found?.deviation).toBeGreaterThan(0.14);
    expect(found?.deviation).toBeLessThan(0.26);
  });

  test("whose digits are all that moves it, the noise is no more than half of one", () => {
    const found = seldomReadNoise(TIME, held(readings().map((_, k) => inDigits(20 + 0.02 * k, 0.1))), 0, TIME.length);
    expect(found?.deviation).toBeLessThanOrEqual(0.05);
    expect(found?.resolution).toBeCloseTo(0.1 / Math.sqrt(12), 9);
  });
});

describe("rows have readings of their own", () => {
  const random = createRandom(6);
  test.each([
    ["with noise", TIME.map((t) => inDigits(20 + 0.2 * t + 0.2 * random.gaussian(), 0.1))],
    ["in digits of what they rise by from row to row", TIME.map((t) => inDigits(20 + t, 0.1))],
    ["on a smooth course without noise", TIME.map((t) => 20 + 40 * (1 - Math.exp(-t / 100)))],
  ])("%s", (_, celsius) => expect(seldomReadNoise(TIME, celsius, 0, TIME.length)).toBeNull());
});
