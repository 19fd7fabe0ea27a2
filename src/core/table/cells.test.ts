import { describe, expect, test } from "@jest/globals";
import fc from "fast-check";
import { parseClock, parseIsoInstant, parseNumber } from "./cells.js";

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

describe("a clock", () => {
  test.each([
    ["00:00:00", 0],
    ["1:02:03.5", 3723.5],
    ["01:02:03,5", 3723.5],
    ["02:03.25", 123.25],
    ["100:00:00", 360_000],
    [" 23:59:59.999 ", 86_399.999],
  ])("%j is %d s", (text, seconds) => expect(parseClock(text)).toBeCloseTo(seconds, 9));

  test.each(["", "12", "1:60:00", "1:00:60", "1:2:3:4", "a:b:c", "-1:00:00", "1:00:00 PM"])("is none in %j", (text) => {
    expect(parseClock(text)).toBeNaN();
  });
});

describe("an ISO 8601 instant", () => {
  // RFC 3339, 5.8 (the first example read, the others from memory). Differences are of instants that it says are equal.
  test.each([
    ["1985-04-12T23:20:50.52Z", Date.UTC(1985, 3, 12, 23, 20, 50) / 1000 + 0.52],
    ["1996-12-19T16:39:57-08:00", Date.UTC(1996, 11, 20, 0, 39, 57) / 1000],
    ["1990-12-31T23:59:60Z", Date.UTC(1991, 0, 1) / 1000],
    ["1937-01-01T12:00:27.87+00:20", Date.UTC(1937, 0, 1, 11, 40, 27) / 1000 + 0.87],
  ])("%s is the instant that RFC 3339 says", (text, seconds) => {
    expect(parseIsoInstant(text)).toBeCloseTo(seconds, 6);
  });

  test("without a zone is taken as UTC, with a blank for the T and a decimal comma too", () => {
    expect(parseIsoInstant("2026-05-02 09:12:00,25")).toBe(Date.UTC(2026, 4, 2, 9, 12) / 1000 + 0.25);
  });

  test.each(["", "2026-05-02", "09:12:00", "2026/05/02 09:12:00", "2026-05-02T9:12:00"])("is none in %j", (text) => {
    expect(parseIsoInstant(text)).toBeNaN();
  });
});
