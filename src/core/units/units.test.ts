import { describe, expect, test } from "@jest/globals";
import { BASE_UNITS, parseUnit, toBaseUnit, UNIT_SYMBOLS } from "./units.js";

const inBase = (value: number, symbol: string): number => {
  const unit = parseUnit(symbol);
  if (!unit) throw new Error(`${symbol} is no unit`);
  return toBaseUnit(Float64Array.of(value), unit)[0] as number;
};

describe("readings are converted to base units", () => {
  // SI prefixes and 1 Ah = 3600 C, 1 Wh = 3600 J (SI Brochure, from memory); degF by 212 degF = 100 degC, 32 degF = 0 degC.
  test.each([
    [3300, "mV", 3.3],
    [16.8, "V", 16.8],
    [60_000, "mA", 60],
    [1.5, "kW", 1500],
    [100, "ms", 0.1],
    [100_000, "us", 0.1],
    [1.5, "min", 90],
    [0.5, "h", 1800],
    [4804, "mAh", 4.804],
    [70_000, "mWh", 70],
    [298.15, "K", 25],
    [212, "degF", 100],
    [32, "degF", 0],
    [-40, "degF", -40],
  ])("%d %s", (value, symbol, expected) => expect(inBase(value, symbol)).toBeCloseTo(expected, 12));

  test("exactly where the number is a decimal fraction", () => {
    for (let millivolts = 0; millivolts <= 50_400; millivolts += 7)
      expect(inBase(millivolts, "mV")).toBe(millivolts / 1000);
  });

  test("without a copy where nothing changes", () => {
    const values = Float64Array.of(1, 2);
    const volts = parseUnit("V");
    expect(volts && toBaseUnit(values, volts)).toBe(values);
  });
});

describe("a unit is known", () => {
  test.each([
    ["°C", "degC"],
    ["℃", "degC"],
    ["Celsius", "degC"],
    ["°F", "degF"],
    ["µs", "us"],
    ["μs", "us"],
    [" Volts ", "V"],
    ["AMPS", "A"],
    ["MAH", "mAh"],
    ["Sekunden", "s"],
  ])("%j as %s, in any case and spelling", (text, symbol) => expect(parseUnit(text)?.symbol).toBe(symbol));

  test("by each symbol that a column map may name", () => {
    for (const symbol of UNIT_SYMBOLS) expect(parseUnit(symbol)?.symbol).toBe(symbol);
  });

  test.each(["", "bar", "%", "rpm", "ohm", "V/cell"])("but not %j", (text) => expect(parseUnit(text)).toBeNull());
});

test("every base unit is itself a unit that changes nothing", () => {
  for (const [dimension, symbol] of Object.entries(BASE_UNITS)) {
    expect(parseUnit(symbol)).toMatchObject({ symbol, dimension, factor: 1, shift: 0 });
  }
});
