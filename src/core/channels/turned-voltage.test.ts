import { expect, test } from "@jest/globals";
import { turnedVoltage } from "./turned-voltage.js";

const volts = Float64Array.from({ length: 200 }, (_, row) => 16 - row / 100);

test("a voltage that is negative throughout is inverted, and told", () => {
  const { voltage, adjustments } = turnedVoltage(volts.map((value) => -value));
  expect(voltage).toEqual(volts);
  expect(adjustments).toMatchObject([
    {
      kind: "voltage-turned",
      message: "The log's voltage is negative throughout, as with swapped leads. The voltage was inverted.",
    },
  ]);
});

test.each([
  ["that is positive", volts],
  ["that is negative now and then", volts.map((value, row) => (row % 3 === 0 ? -value : value))],
  ["of noise about nothing", volts.map((_, row) => -0.001 * (1 + (row % 3)))],
  ["without a number", volts.map(() => Number.NaN)],
])("a voltage %s is left as it is", (_, voltage) => {
  expect(turnedVoltage(voltage)).toEqual({ voltage, adjustments: [] });
});
