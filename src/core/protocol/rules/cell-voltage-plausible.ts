import { farthestVoltage } from "../observe/farthest-voltage.js";
import type { Rule } from "../rule.js";

export const CELL_VOLTAGE_PLAUSIBLE: Rule = {
  id: "cell-voltage-plausible",
  observes:
    "Voltage of the lowest logged cell, where it is farthest from the middle of what its chemistry allows at all; single samples do not count.",
  why: "A cell far outside the range of its chemistry is harmed, or its wire is off: what the pack then delivers says little of its kind.",
  unit: "V",
  limits: { tolerance: "how far beyond the range of the chemistry a reading may be, V" },
  assess: (test, limit) => {
    const { lowestCell } = test.run.samples;
    return lowestCell && farthestVoltage(test, lowestCell, 1, limit("tolerance"));
  },
  seen: (observed) => `The voltage of the lowest cell farthest from the middle of its range is ${observed}`,
  missing: "The log has no cell voltages.",
  advice:
    "Check the pack's chemistry and number of cells in series, and which column was read as the voltage in which unit.",
};
