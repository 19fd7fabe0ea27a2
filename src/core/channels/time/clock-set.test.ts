import { describe, expect, test } from "@jest/globals";
import { carryOnSetClock } from "./clock-set.js";

const ROWS = 200;
const SET_FROM = 100;
const HOUR_S = 3600;

/** Ten rows a second under 60 A, with a clock that is set by `byS`. */
function logged(byS: number) {
  const wave = (row: number) => ((row * 37) % 11) - 5;
  return {
    seconds: Float64Array.from({ length: ROWS }, (_, row) => 7000 + row / 10 + (row < SET_FROM ? 0 : byS)),
    load: Float64Array.from({ length: ROWS }, (_, row) => 60 + 0.02 * wave(row)),
    voltage: Float64Array.from({ length: ROWS }, (_, row) => 15 - 0.001 * row + 0.002 * wave(row)),
  };
}

describe("a clock that is set", () => {
  test.each([HOUR_S, -HOUR_S, 1800, -1800, -2700, 14 * HOUR_S])("by %d s on the way is carried on", (byS) => {
    const { seconds, load, voltage } = logged(byS);
    expect(carryOnSetClock(seconds, load, [voltage])).toEqual({ byS, row: SET_FROM });
    seconds.forEach((value, row) => {
      expect(value).toBeCloseTo(7000 + row / 10, 9);
    });
  });

  test.each([1, -1, -60, 1700, -1700, 900, 15 * HOUR_S])(
    "by %d s is left to the rules on rising time and gaps",
    (byS) => {
      const { seconds, load, voltage } = logged(byS);
      const before = [...seconds];
      expect(carryOnSetClock(seconds, load, [voltage])).toBeNull();
      expect([...seconds]).toEqual(before);
    },
  );
});

describe("a pause of just an hour is none", () => {
  test("where the pack has recovered in it", () => {
    const { seconds, load, voltage } = logged(HOUR_S);
    const recovered = voltage.map((volts, row) => (row < SET_FROM ? volts : volts + 0.1));
    expect(carryOnSetClock(seconds, load, [recovered])).toBeNull();
  });

  test("where no load is on", () => {
    const { seconds, load, voltage } = logged(HOUR_S);
    const later = load.map((amperes, row) => (row < SET_FROM + 20 ? 0 : amperes));
    expect(carryOnSetClock(seconds, later, [voltage])).toBeNull();
    expect(carryOnSetClock(seconds, null, [voltage])).toBeNull();
  });
});

test("a clock that steps twice is left as it is", () => {
  const { seconds, load, voltage } = logged(-HOUR_S);
  for (let row = 150; row < ROWS; row++) seconds[row] = (seconds[row] as number) - HOUR_S;
  expect(carryOnSetClock(seconds, load, [voltage])).toBeNull();
});
