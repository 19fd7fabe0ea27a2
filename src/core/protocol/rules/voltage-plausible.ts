import { farthestVoltage } from "../observe/farthest-voltage.js";
import type { Rule } from "../rule.js";

export const VOLTAGE_PLAUSIBLE: Rule = {
  id: "voltage-plausible",
  observes:
    "Voltage per cell, where it is farthest from the middle of what its chemistry allows at all; single samples do not count.",
  why: "Such a voltage means another number of cells, another chemistry or a misread column.",
  unit: "V",
  limits: { tolerance: "how far beyond the range of the chemistry a reading may be, V" },
  assess: (test, limit) => farthestVoltage(test, test.run.trace.voltage, test.pack.series, limit("tolerance")),
  seen: (observed) => `Where it is farthest from the middle of its range, the voltage per cell is ${observed}`,
  missing: null,
  advice:
    "Check the sense wires, the pack's chemistry and number of cells in series, and which column was read as the voltage in which unit.",
};
