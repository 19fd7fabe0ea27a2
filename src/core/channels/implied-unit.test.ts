import { describe, expect, test } from "@jest/globals";
import { impliedUnit } from "./implied-unit.js";

const symbols = (channel: "voltage" | "current" | "time" | "temperature", values: readonly number[], origin = 0) =>
  impliedUnit(channel, Float64Array.from(values), origin).plausible.map(({ symbol }) => symbol);
const steps = (count: number, step: number, from = 0) => Array.from({ length: count }, (_, i) => from + i * step);

// The bands are common practice, no published source (docs/shapes.md).
describe("a unit that is not stated is implied where one alone is plausible", () => {
  test.each([
    ["voltage", [16.8, 15.2, 13.2], ["V"]],
    ["voltage", [16_800, 15_200, 13_200], ["mV"]],
    ["voltage", [2, 2, 2], ["V"]],
    ["voltage", [130, 130, 130], ["V"]],
    ["voltage", [131, 131, 131], []],
    ["voltage", [2000, 2000, 2000], ["mV"]],
    ["voltage", [0.9, 1, 1.1], []],
    ["current", [0, 118, -96], ["A"]],
    ["current", [0, -118_000, 96_000], ["mA"]],
    ["current", [0, 0.5, 1.5], []],
    ["current", [0, 1500, 1500], []],
    ["temperature", [22, 30, 77], ["degC"]],
    ["temperature", [-5, 10, 40], ["degC"]],
    ["temperature", [40, 60, 75], ["degC"]],
    ["temperature", [70, 90, 140], ["degF"]],
    ["temperature", [61, 70, 80], ["degF"]],
    ["temperature", [45, 60, 80], ["degC", "degF"]],
    ["temperature", [295, 310, 340], ["K"]],
    ["temperature", [0, 0, 0], []],
    ["temperature", [-127, -127, -127], []],
    ["temperature", [220, 300, 770], []],
    ["temperature", [20, 90, 300], []],
  ] as const)("%s %j: %j", (channel, values, units) => expect(symbols(channel, values)).toEqual(units));

  test.each([
    ["10 Hz for 300 s", steps(3000, 0.1), ["s"], 0],
    ["10 Hz for 300 s in ms", steps(3000, 100), ["ms"], 0],
    ["10 Hz for 300 s in us", steps(3000, 1e5), ["us"], 0],
    ["10 Hz for 300 s in min", steps(3000, 0.1 / 60), ["min"], 0],
    ["50 Hz for 120 s, which might be 2 h in min", steps(6000, 0.02), ["s", "min"], 0],
    ["3 s", steps(30, 0.1), [], 0],
    ["instants in s", steps(3000, 0.1), ["s"], 1_777_712_400],
    ["instants in ms", steps(3000, 100), ["ms"], 1_777_712_400_000],
    ["instants that no clock shows", steps(3000, 0.1), [], 9_000_000_000],
  ] as [string, number[], string[], number][])("time of %s", (_, values, units, origin) => {
    expect(symbols("time", values, origin)).toEqual(units);
  });
});
