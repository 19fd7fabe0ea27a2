import { farthestVoltage } from "../observe/farthest-voltage.js";
import type { Observation, Rule } from "../rule.js";

export const CELL_VOLTAGE_PLAUSIBLE: Rule = {
  id: "cell-voltage-plausible",
  observes:
    "Voltage of the logged cell that is farthest from the middle of what its chemistry allows at all; single samples do not count.",
  why: "A cell far outside the range of its chemistry is harmed, or its wire is off: what the pack then delivers says little of its kind.",
  unit: "V",
  limits: { tolerance: "how far beyond the range of the chemistry a reading may be, V" },
  assess: (test, limit) => {
    const tolerance = limit("tolerance");
    const middle = (test.cell.lowest + test.cell.highest) / 2;
    const out = ({ observed }: Observation) => Math.abs(observed - middle);
    return test.run.samples.cells
      .map((cell) => farthestVoltage(test, cell, 1, tolerance))
      .reduce<Observation | null>((worst, one) => (worst && out(worst) >= out(one) ? worst : one), null);
  },
  seen: (observed) => `Where a cell is farthest from the middle of its range, its voltage is ${observed}`,
  missing: "The log has no cell voltages.",
  advice:
    "Check every balance wire, the pack's chemistry, and which columns were read as cells in which unit; do not use a pack with such a cell again.",
};
