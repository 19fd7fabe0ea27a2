import { describe, expect, test } from "@jest/globals";
import fc from "fast-check";
import { isMissingMark, parseNumber } from "./cells.js";

function parsed(text: string, decimalMark: "." | "," = "."): number {
  const bytes = Buffer.from(text, "latin1");
  return parseNumber(bytes, 0, bytes.length, decimalMark.charCodeAt(0));
}

const digits = (from: number, to: number) =>
  fc.string({ unit: fc.constantFrom(..."0123456789"), minLength: from, maxLength: to });
const decimalText = fc
  .tuple(fc.constantFrom("", "-", "+"), digits(1, 20), digits(0, 26), fc.option(fc.integer({ min: -30, max: 30 })))
  .map(
    ([sign, whole, decimals, power]) =>
      `${sign}${whole}${decimals && `.${decimals}`}${power === null ? "" : `e${power}`}`,
  );

// Outside source: ECMA-262, StringToNumber, as the runtime implements it.
describe("a number in a cell", () => {
  test("equals Number(text) to the last bit, however many digits it has", () => {
    fc.assert(
      fc.property(decimalText, (text) => expect(parsed(text)).toBe(Number(text))),
      { numRuns: 3000 },
    );
  });

  test("equals it with more decimals than an exact power of ten has", () => {
    for (const text of [`0.${"0".repeat(22)}7`, `0.${"0".repeat(20)}123456789`, `12.${"0".repeat(25)}`]) {
      expect(parsed(text)).toBe(Number(text));
    }
  });

  test("is the same with a decimal comma", () => {
    fc.assert(
      fc.property(decimalText, (text) => expect(parsed(text.replace(".", ","), ",")).toBe(Number(text))),
      { numRuns: 3000 },
    );
  });

  test("of any double comes back as that double", () => {
    fc.assert(
      fc.property(fc.double({ noNaN: true, noDefaultInfinity: true }), (value) =>
        expect(parsed(String(value))).toBe(value + 0),
      ),
      { numRuns: 2000 },
    );
  });

  test.each([
    [" 12.5\t", 12.5],
    ['"12.5"', 12.5],
    ["12.5\u00a0", 12.5],
    [".5", 0.5],
    ["5.", 5],
    ["-0", -0],
  ])("may stand in blanks and quotes, and begin or end with its mark: %j", (text, value) => {
    expect(parsed(text)).toBe(value);
  });

  test("is read only from its own bytes of a longer line", () => {
    const line = Buffer.from("9,16.8,7");
    expect(parseNumber(line, 2, 6, 0x2e)).toBe(16.8);
  });

  test.each([
    "",
    " ",
    '""',
    ".",
    "-",
    "+-1",
    "1.2.3",
    "1,2",
    "12 V",
    "0x10",
    "1e",
    "e5",
    "1e999",
    "NaN",
    "Infinity",
    "--",
  ])("is none in %j", (text) => expect(parsed(text)).toBeNaN());

  test.each(["1.5", "1.234,5", "1,2,3"])("with a decimal comma is none in %j", (text) => {
    expect(parsed(text, ",")).toBeNaN();
  });

  test("is none in any text with a letter other than e", () => {
    const garbage = fc
      .tuple(fc.string({ maxLength: 6 }), fc.constantFrom(..."abcdfxyzVA:;/"), fc.string({ maxLength: 6 }))
      .map((parts) => parts.join(""));
    fc.assert(fc.property(garbage, (text) => expect(parsed(text)).toBeNaN()));
  });
});

describe("a large number from which a whole one is subtracted", () => {
  test("keeps the decimals that a double of it would lose", () => {
    const text = Buffer.from("1777712400.123456");
    expect(parseNumber(text, 0, text.length, 0x2e, 1_777_712_400)).toBe(0.123456);
    expect(Number("1777712400.123456") - 1_777_712_400).not.toBe(0.123456);
  });

  test("is the same to within a double, whatever its digits", () => {
    fc.assert(
      fc.property(decimalText, fc.integer({ min: 1, max: 2 ** 31 }), (text, origin) => {
        const bytes = Buffer.from(text);
        const expected = Number(text) - origin;
        const error = Math.abs(parseNumber(bytes, 0, bytes.length, 0x2e, origin) - expected);
        expect(error <= 4 * Number.EPSILON * (Math.abs(Number(text)) + origin)).toBe(true);
      }),
    );
  });
});

test.each(["OL", "o.l.", "-inf", "Inf", "NaN", "n/a", "NA", "---", "null", "#N/A", "?", " OVL "])(
  "%j says that nothing was measured",
  (text) => expect(isMissingMark(text)).toBe(true),
);
test.each(["", "0", "-5", "V", "No", "Total", "inflow"])("%j does not", (text) => {
  expect(isMissingMark(text)).toBe(false);
});
