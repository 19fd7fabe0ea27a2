import { describe, expect, it } from "@jest/globals";
import { shownValue } from "./digits.js";

const shown = (value: number, uncertainty: number) => {
  const { value: v, uncertainty: u } = shownValue(value, uncertainty);
  return `${v} +- ${u}`;
};

describe("a value is shown with the digits that its uncertainty supports", () => {
  // JCGM 100:2008, 7.2.6: 10.057 62 ohm with u = 27 mohm is stated as 10.058 ohm (from memory).
  it("as the example of the Guide", () => {
    expect(shownValue(10.05762, 0.027).value).toBe("10.058");
  });

  it.each([
    [1409.336, 10.92, "1409 +- 11"],
    [1409.336, 29.4, "1409 +- 29"],
    [4808.1, 34.9, "4810 +- 30"],
    [4808.1, 345, "4800 +- 300"],
    [15.0347, 0.0304, "15.03 +- 0.03"],
    [15.0347, 0.0196, "15.035 +- 0.020"],
    [-0.0004, 0.03, "0.00 +- 0.03"],
    [-4.26, 0.5, "-4.3 +- 0.5"],
    [1e-9, 2.5e-10, "0.00000000100 +- 0.00000000025"],
  ])("%d with %d is %s", (value, uncertainty, text) => {
    expect(shown(value, uncertainty)).toBe(text);
  });

  it("and one more digit when rounding makes its first digit a 1", () => {
    expect(shown(7.1234, 0.0962)).toBe("7.12 +- 0.10");
    expect(shown(7.1234, 0.94)).toBe("7.1 +- 0.9");
  });

  it("and a few digits when it is exact or unknown", () => {
    expect(shown(183.000000001, 0)).toBe("183 +- 0");
    expect(shownValue(1.23456789, Number.NaN).value).toBe("1.23457");
  });
});
