import { describe, expect, test } from "@jest/globals";
import { parseLooseNumber } from "./loose-number.js";

describe("a number as people write it is read", () => {
  test.each([
    ["\u22125.25", ".", -5.25, null],
    ["\u20135,25", ",", -5.25, null],
    ["(5.25)", ".", -5.25, null],
    ["16.8 V", ".", 16.8, "V"],
    ["16,8V", ",", 16.8, "V"],
    ["22.5°C", ".", 22.5, "degC"],
    ["950 mA", ".", 950, "mA"],
    ["1,234.5", ".", 1234.5, null],
    ["1.234,5", ",", 1234.5, null],
    ["1'234.5", ".", 1234.5, null],
    ["1\u202f234,5", ",", 1234.5, null],
    ["1,234,567", ".", 1_234_567, null],
    ["'16.8'", ".", 16.8, null],
    ["1.5e3 mV", ".", 1500, "mV"],
  ] as const)("%j with the mark %j is %d", (text, mark, value, unit) => {
    const read = parseLooseNumber(text, mark);
    expect([read?.value, read?.unit?.symbol ?? null, read?.mayBeThousands]).toEqual([value, unit, false]);
  });

  test("and one whose mark may be either is said to be open", () => {
    expect(parseLooseNumber("16,800", ".")).toMatchObject({ value: 16_800, mayBeThousands: true });
    expect(parseLooseNumber("16.800", ",")).toMatchObject({ value: 16_800, mayBeThousands: true });
  });

  test.each(["", "V", "16.8 bar", "1,23.4", "12,3456.7", "1.2.3", "16.8x7", "--5", "1e", "0,200.5"])(
    "but not %j",
    (text) => {
      expect(parseLooseNumber(text, ".")).toBeNull();
    },
  );
});
