import { describe, expect, test } from "@jest/globals";
import { readHeader } from "./header.js";

describe("a column header is taken apart into words and unit", () => {
  test.each([
    ["Voltage [V]", ["voltage"], "V"],
    ["Voltage(mV)", ["voltage"], "mV"],
    ["Voltage {V}", ["voltage"], "V"],
    ["Voltage/V", ["voltage"], "V"],
    ["Voltage / mV", ["voltage"], "mV"],
    ["voltage_mV", ["voltage"], "mV"],
    ["pack_voltage_V", ["pack", "voltage"], "V"],
    ["Voltage, V", ["voltage"], "V"],
    ["Voltage in mV", ["voltage"], "mV"],
    ["Voltage V", ["voltage"], "V"],
    ["V", [], "V"],
    ["PackVoltage [V]", ["pack", "voltage"], "V"],
    ["Cell1 (V)", ["cell"], "V"],
    ["T [°C]", ["t"], "degC"],
    ["Elapsed time [ms]", ["elapsed", "time"], "ms"],
  ])("%s", (header, words, symbol) => {
    const parts = readHeader(header, null);
    expect([parts.words, parts.unit?.symbol, parts.unknownUnit]).toEqual([words, symbol, null]);
  });

  test.each([
    ["Prąd [A]", "prad"],
    ["NAPIĘCIE [V]", "napiecie"],
    ["Ładunek [mAh]", "ladunek"],
    ["Kapazität [mAh]", "kapazitat"],
    ["Tensión [V]", "tension"],
    ["Durée [s]", "duree"],
  ])("without accents: %s", (header, word) => expect(readHeader(header, null).words).toEqual([word]));

  test("with the units row before what the header says", () => {
    expect(readHeader("voltage", "mV").unit?.symbol).toBe("mV");
    expect(readHeader("voltage", " [mV] ").unit?.symbol).toBe("mV");
    expect(readHeader("voltage [V]", "").unit?.symbol).toBe("V");
  });

  test("with a text in the place of a unit that is none", () => {
    expect(readHeader("Pressure [bar]", null)).toMatchObject({ words: ["pressure"], unit: null, unknownUnit: "bar" });
    expect(readHeader("voltage", null)).toMatchObject({ words: ["voltage"], unit: null, unknownUnit: null });
  });
});
