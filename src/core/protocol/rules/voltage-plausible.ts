import { farthestVoltage } from "../observe/farthest-voltage.js";
import type { Rule } from "../rule.js";

export const VOLTAGE_PLAUSIBLE: Rule = {
  id: "voltage-plausible",
  observes:
    "The most extreme voltage per cell, compared with the range of a healthy cell of the chemistry. Single samples are ignored.",
  why: "A voltage outside this range means another number of cells, another chemistry or a misread column.",
  unit: "V",
  limits: { tolerance: "how far a reading may lie outside the range, V" },
  assess: (test, limit) => farthestVoltage(test, test.run.trace.voltage, test.pack.series, limit("tolerance")),
  seen: (observed) => `The most extreme voltage per cell is ${observed}`,
  missing: null,
  advice:
    "Check the sense wires, the chemistry and the number of cells in series. Check which column and unit were taken as the voltage.",
};
