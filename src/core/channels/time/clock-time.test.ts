import { describe, expect, test } from "@jest/globals";
import { parseUnit } from "../../units/units.js";
import { clockReading, unroll } from "./clock-time.js";

const NONE = { twoParts: 0, threeParts: 0, fractions: 0, largestFirst: 0 };

describe("the readings of a clock", () => {
  test.each([
    ["of three parts are h:m:s", { ...NONE, threeParts: 9 }, null, 1, 86_400],
    ["of two with a fraction are m:s", { ...NONE, twoParts: 9, fractions: 1 }, null, 1, 3600],
    ["of two beyond any hour are m:s", { ...NONE, twoParts: 9, largestFirst: 24 }, null, 1, 3600],
    ["of two beside three are m:s", { ...NONE, twoParts: 9, threeParts: 1 }, null, 1, 86_400],
    ["of two are what their unit says: m:s", { ...NONE, twoParts: 9 }, "mm:ss", 1, 3600],
    ["of two are what their unit says: h:m", { ...NONE, twoParts: 9 }, "hh:mm", 60, 86_400],
  ])("%s", (_, seen, unit, factor, periodS) => {
    expect(clockReading(seen, unit === null ? null : parseUnit(unit))).toEqual({ factor, periodS });
  });

  test("of two parts that nothing settles are left open", () => {
    expect(clockReading({ ...NONE, twoParts: 9, largestFirst: 23 }, null)).toBeNull();
  });
});

describe("a clock that begins again", () => {
  const unrolled = (values: readonly number[], periodS = 86_400) => {
    const seconds = Float64Array.from(values);
    return [unroll(seconds, periodS), [...seconds]];
  };

  test("goes on, twice too", () => {
    const after = [86_399, 86_401, 129_600, 169_200, 172_802];
    expect(unrolled([86_399, 1, 43_200, 82_800, 2])).toEqual([2, after]);
    expect(unrolled([3599, 1], 3600)).toEqual([1, [3599, 3601]]);
  });

  test("is left as it is where it steps back a little, for the rule on rising time", () => {
    expect(unrolled([36_005, 36_004])).toEqual([0, [36_005, 36_004]]);
  });
});
